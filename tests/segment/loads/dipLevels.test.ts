import { describe, expect, it } from 'vitest'
import { cutAtDips } from '../../../src/segment/loads/cutAtDips.js'
import type { PowerLevel } from '../../../src/segment/loads/powerLevels.js'
import { traceOf } from '../makeSteps.js'

type Part = readonly [levelW: number, samples: number]

/** How work of these levels, one sample a second, is cut: how long each stretch is, with the power before and after it. */
function cut(
  parts: readonly Part[],
  { idleBeforeW = 5 as number | null, idleAfterW = 5 as number | null } = {},
) {
  let at = 10
  const levels = parts.map(([levelW, samples]): PowerLevel => {
    at += samples
    return { from: at - samples, to: at, levelW, lengthS: samples, usePct: null, clockHz: null }
  })
  const timesS = Float64Array.from({ length: at + 10 }, (_, i) => i)
  const trace = traceOf(timesS, timesS.slice())
  const beside: PowerLevel[] = [
    { from: 0, to: 10, levelW: 5, lengthS: 10, usePct: null, clockHz: null },
    { from: at, to: at + 10, levelW: 5, lengthS: 10, usePct: null, clockHz: null },
  ]
  const range = { from: 10, to: at, idleBeforeW, idleAfterW }
  return cutAtDips(trace, [beside[0]!, ...levels, beside[1]!], [range])
}

const lengths = (ranges: ReturnType<typeof cut>) => ranges.map(({ from, to }) => to - from)
/** Five stretches of work at 60 W with four dips between. */
const loop = (...dips: readonly (readonly Part[])[]): readonly Part[] => [
  ...dips.flatMap((dip): readonly Part[] => [[60, 40], ...dip]),
  [60, 40],
]
const even = (levelW: number): readonly Part[] =>
  loop([[levelW, 8]], [[levelW, 8]], [[levelW, 8]], [[levelW, 8]])

describe('work with dips', () => {
  it('is cut at them, and has their power before and after each stretch', () => {
    const ranges = cut(even(30))
    expect(lengths(ranges)).toEqual([40, 40, 40, 40, 40])
    expect(ranges.map(({ idleBeforeW, idleAfterW }) => [idleBeforeW, idleAfterW])).toEqual([
      [5, 30],
      [30, 30],
      [30, 30],
      [30, 30],
      [30, 5],
    ])
    expect(ranges[1]).toMatchObject({ from: 58, to: 98 })
  })

  it('is whole where a dip has more than six tenths of its power above idle', () => {
    expect(cut(even(38))).toHaveLength(5)
    expect(cut(even(38.1))).toHaveLength(1)
    // The higher idle of the two counts.
    expect(cut(even(38), { idleBeforeW: 4, idleAfterW: 5 })).toHaveLength(5)
    expect(cut(even(37.9), { idleBeforeW: 5, idleAfterW: 4 })).toHaveLength(5)
    expect(cut(even(36.1), { idleBeforeW: null, idleAfterW: null })).toHaveLength(1)
    expect(cut(even(36), { idleBeforeW: null, idleAfterW: null })).toHaveLength(5)
  })

  it('is whole with two dips', () => {
    expect(cut(loop([[30, 8]], [[30, 8]]))).toHaveLength(1)
    expect(cut(loop([[30, 8]], [[30, 8]], [[30, 8]]))).toHaveLength(4)
  })

  it('may have dips of several levels that are nearly one, with edges between', () => {
    const dip: readonly Part[] = [
      [45, 1],
      [28, 4],
      [32, 4],
      [50, 2],
    ]
    const ranges = cut(loop(dip, dip, dip, dip))
    expect(ranges).toHaveLength(5)
    expect(ranges[1]!.idleBeforeW).toBeCloseTo(30, 9)
    // Two levels of which each is 20 % off their mean are no pause.
    const steps: readonly Part[] = [
      [36, 4],
      [24, 4],
    ]
    expect(cut(loop(steps, steps, steps, steps))).toHaveLength(1)
    // One level weighs by how long it is: 28 and 33.5 lie within 15 % of their mean, of 3 to 1.
    expect(
      cut(
        loop(
          ...[1, 2, 3, 4].map((): readonly Part[] => [
            [28, 12],
            [33.5, 4],
          ]),
        ),
      ),
    ).toHaveLength(5)
  })

  it('may have dips that are nothing but short samples', () => {
    const short: readonly Part[] = [[30, 2]]
    expect(cut(loop([[30, 8]], [[30, 8]], [[30, 8]], short))).toHaveLength(1)
    expect(cut(loop([[30, 4]], [[30, 4]], [[30, 4]], short))).toHaveLength(5)
  })

  it('is whole where only one of its dips is no level', () => {
    const steps: readonly Part[] = [
      [36, 4],
      [22, 4],
    ]
    expect(cut(loop([[30, 8]], [[30, 8]], [[30, 8]], steps))).toHaveLength(1)
  })

  it('does not end or begin with a dip', () => {
    const open: readonly Part[] = [[30, 4], ...even(30), [30, 4]]
    expect(lengths(cut(open))).toEqual([44, 40, 40, 40, 44])
  })

  it('is cut at its lowest dips where higher ones come as often', () => {
    const both = loop([[20, 8]], [[20, 8]], [[20, 8]], [[20, 8]]).flatMap((part): readonly Part[] =>
      part[0] === 60
        ? [
            [60, 18],
            [37, 4],
            [60, 18],
          ]
        : [part],
    )
    expect(lengths(cut(both))).toEqual([40, 40, 40, 40, 40])
  })
})
