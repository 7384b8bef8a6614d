import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { findLoads } from '../../../src/segment/findLoads.js'
import { makeSteps, type Steps } from '../makeSteps.js'

type Levels = Steps['levels']
const IDLE = [5, 30] as const
/** A run that begins at 90 W and goes on at 60 W. */
const RUN = [
  [90, 6],
  [60, 34],
] as const

/** Runs with dips between them, the run's own levels scaled in time. */
function loop(dips: Levels, run: Levels = RUN, lengths: readonly number[] = []): Levels {
  const runs = [...dips, null].flatMap((dip, k) => [
    ...run.map(([powerW, forS]) => [powerW, forS * (lengths[k] ?? 1)] as const),
    ...(dip === null ? [] : [dip]),
  ])
  return [IDLE, ...runs, IDLE]
}

const runsOf = (levels: Levels, rest: Partial<Steps> = {}) =>
  findLoads(makeSteps({ levels, ...rest })).map(({ runs }) => runs.length)

describe('dips that come again and again, all alike, are the pauses of a loop', () => {
  const five = Array.from({ length: 5 }, () => [30, 8] as const)

  it('also at half the power: the settled power is that of the runs', () => {
    const [load] = findLoads(makeSteps({ levels: loop(five) }))
    expect(load!.runs).toHaveLength(6)
    expect(load!.stages.map(({ levelW }) => Math.round(levelW.value))).toEqual([90, 60])
    expect(load!.sustained.levelW.value).toBeCloseTo(60, 0)
    expect(load!.runs.map(({ startS, endS }) => endS - startS)).toEqual(
      Array.from({ length: 6 }, () => expect.closeTo(40, 0)),
    )
  })

  it('where loading takes a second more or less, and the first run is quicker and the last broken off', () => {
    const dips = [8, 9, 8, 7.5, 8.5].map((s) => [30, s] as const)
    expect(runsOf(loop(dips, RUN, [0.5, 1, 1, 1.1, 1, 0.4]))).toEqual([6])
  })

  it('whatever the power, the seed and the sampling', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(0.1, 1, 10),
        fc.constantFrom(0.5, 1, 2),
        fc.integer({ min: 1, max: 99 }),
        (scale, everyS, seed) => {
          const levels = loop(five).map(([powerW, forS]) => [scale * powerW, forS] as const)
          expect(runsOf(levels, { everyS, seed, noiseW: 0.4 * scale })).toEqual([6])
        },
      ),
      { numRuns: 100 },
    )
  })
})

describe('dips that a task may have by itself are no pauses', () => {
  const dips = (...seconds: number[]) => seconds.map((s) => [30, s] as const)

  it('fewer than three', () => {
    expect(runsOf(loop(dips(8, 8)))).toEqual([1])
    expect(runsOf(loop(dips(8, 8, 8)))).toEqual([4])
  })

  it('of unlike lengths or powers', () => {
    expect(runsOf(loop(dips(8, 14, 8, 5)))).toEqual([1])
    expect(
      runsOf(
        loop([
          [30, 8],
          [30, 8],
          [30, 8],
          [37, 8],
        ]),
      ),
    ).toEqual([1])
  })

  it('with unlike work between them', () => {
    expect(runsOf(loop(dips(8, 8, 8, 8), RUN, [1, 1.6, 0.7, 1.2, 1]))).toEqual([1])
    expect(runsOf(loop(dips(8, 8, 8, 8), RUN, [1, 1, 1, 1, 1.4]))).toEqual([1])
  })

  it('longer than the work, or with work of seconds', () => {
    expect(runsOf(loop(dips(50, 50, 50, 50)))).toEqual([1])
    expect(runsOf(loop(dips(4, 4, 4, 4), [[60, 6]]))).toEqual([1])
  })

  it('of more than six tenths of the work', () => {
    expect(
      runsOf(
        loop(
          [45, 45, 45, 45].map((powerW) => [powerW, 8] as const),
          [[60, 40]],
        ),
      ),
    ).toEqual([1])
  })

  it('that go through several powers', () => {
    const levels = loop(dips(4, 4, 4, 4)).flatMap(([powerW, forS]) =>
      powerW === 30
        ? ([
            [36, 4],
            [24, 4],
          ] as const)
        : [[powerW, forS] as const],
    )
    expect(runsOf(levels)).toEqual([1])
  })
})
