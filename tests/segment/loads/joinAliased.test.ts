import { describe, expect, it } from 'vitest'
import { joinAliased } from '../../../src/segment/loads/joinAliased.js'
import type { WorkRange } from '../../../src/segment/loads/workRanges.js'
import { traceOf } from '../makeSteps.js'

const repeat = (powers: readonly number[], times: number) =>
  Array.from({ length: times }, () => powers).flat()
const flat = (watts: number, samples: number) => new Array<number>(samples).fill(watts)
const IDLE = flat(5, 20)
/** Work that comes and goes within three samples: eleven of them, from its first to its last. */
const FLICKER = repeat([60, 60, 5], 4).slice(0, -1)

/** Samples in a row; those of `work` are taken for work by whoever follows levels, others for none. */
type Stretch = readonly number[] | { readonly work: readonly number[] }

/** What is made of the work between 20 samples of idle, one a second: where it begins and ends, counted from the end of that idle. */
function joined(stretches: readonly Stretch[], everyS = 1) {
  const watts = [...IDLE]
  const ranges: WorkRange[] = []
  for (const stretch of stretches) {
    const isWork = 'work' in stretch
    const samples = isWork ? stretch.work : stretch
    if (isWork)
      ranges.push({ from: watts.length, to: watts.length + samples.length, idleBeforeW: 5, idleAfterW: 6 })
    watts.push(...samples)
  }
  watts.push(...IDLE)
  const powerW = Float64Array.from(watts)
  const trace = traceOf(
    powerW.map((_, i) => i * everyS),
    powerW,
  )
  return joinAliased(trace, ranges)
}
const ends = (ranges: readonly WorkRange[]) => ranges.map(({ from, to }) => [from - 20, to - 20])
const unresolved = (ranges: readonly WorkRange[]) => ranges.map((range) => range.unresolved ?? false)

describe('work in a log of instants', () => {
  it('that its samples follow stays as it is', () => {
    const ranges = joined([{ work: flat(60, 30) }, flat(5, 20), { work: flat(50, 30) }])
    expect(ranges).toEqual([
      { from: 20, to: 50, idleBeforeW: 5, idleAfterW: 6 },
      { from: 70, to: 100, idleBeforeW: 5, idleAfterW: 6 },
    ])
    expect(joined([flat(5, 20)])).toEqual([])
  })

  it('that comes and goes faster is one stretch, of which nothing can be followed', () => {
    const ranges = joined([{ work: [60, 60] }, ...repeat([5, 60, 60], 4).map((watts) => [watts])])
    expect(ends(ranges)).toEqual([[0, 14]])
    expect(ranges[0]).toMatchObject({ idleBeforeW: 5, unresolved: true })
    expect(ranges[0]).not.toHaveProperty('joined')
  })

  it('that flickers where nobody saw work is work, too', () => {
    const ranges = joined([{ work: flat(60, 30) }, flat(5, 20), FLICKER])
    expect(ends(ranges)).toEqual([
      [0, 30],
      [50, 61],
    ])
    expect(unresolved(ranges)).toEqual([false, true])
    expect(ranges[1]).toMatchObject({ idleBeforeW: 5, idleAfterW: 5 })
  })

  it('goes on into a flicker that touches it, unless that is another task of less than 40 % of its rise', () => {
    // Idle is 5 W.
    const touching = (watts: number) =>
      joined([{ work: flat(watts, 30) }, FLICKER.map((w) => (w === 5 ? 5.5 : w))])
    expect(ends(touching(60))).toEqual([[0, 41]])
    expect(touching(60)[0]!.idleBeforeW).toBe(5)
    expect(ends(touching(145))).toHaveLength(2)
    expect(ends(touching(135))).toEqual([[0, 41]])
  })

  it('that is joined to a long level is one that can be followed', () => {
    expect(unresolved(joined([{ work: flat(60, 120) }, FLICKER.map((w) => (w === 5 ? 5.5 : w))]))).toEqual([
      false,
    ])
  })
})

describe('a stretch between work', () => {
  /** Two stretches of work of 40 samples that go on as levels, with samples between. */
  const between = (samples: readonly number[], everyS = 1) =>
    ends(joined([{ work: flat(60, 40) }, samples, { work: flat(60, 40) }], everyS)).length
  const restless = (count: number) => Array.from({ length: count }, (_, i) => 20 + 6 * Math.sin(0.5 * i))

  it('is no idle where most of it stands above idle, at no level', () => {
    expect(between(restless(20))).toBe(1)
    expect(between(flat(5, 20))).toBe(2)
    // A level, however rough, is a pause of a machine that is busy.
    expect(between(Array.from({ length: 20 }, (_, i) => [30, 32][i % 2]!))).toBe(2)
    expect(between([30])).toBe(1)
    expect(between([5])).toBe(2)
  })

  it('is idle where less than six tenths of it do', () => {
    const partly = (above: number) => [...restless(above), ...flat(5, 20 - above)]
    expect(between(partly(12))).toBe(1)
    expect(between(partly(11))).toBe(2)
  })

  it('is idle where it lasts longer than 30 s', () => {
    expect(between(restless(29))).toBe(1)
    expect(between(restless(30))).toBe(2)
    expect(between(restless(14), 2)).toBe(1)
    expect(between(restless(15), 2)).toBe(2)
  })

  it('stands above idle by 6 % of what the work rises', () => {
    // 55 W: 3.3 W above 5 W.
    const low = (least: number) => Array.from({ length: 20 }, (_, i) => (i % 2 === 0 ? least : 11))
    expect(between(low(8.4))).toBe(1)
    expect(between(low(8.2))).toBe(2)
  })

  it('is smooth where its neighbours differ by less than a hundredth of that', () => {
    const ramp = (step: number) => Array.from({ length: 20 }, (_, i) => 25 + step * i)
    expect(between(ramp(0.7))).toBe(1)
    expect(between(ramp(0.5))).toBe(2)
  })
})

describe('a fragment beside work that flickers', () => {
  const beside = (samples: number, wait: number, everyS = 1) =>
    ends(joined([FLICKER, flat(5, wait), { work: flat(50, samples) }], everyS)).length

  it('is of the same task, up to eight samples long and as many away', () => {
    expect(beside(3, 8)).toBe(1)
    expect(beside(3, 9)).toBe(2)
    expect(beside(8, 8)).toBe(1)
    expect(beside(9, 8)).toBe(2)
  })

  it('is no more than 10 s away', () => {
    expect(beside(3, 7, 1.2)).toBe(1)
    expect(beside(3, 8, 1.2)).toBe(2)
  })

  it('may come before it, or be another flicker', () => {
    expect(ends(joined([{ work: flat(50, 3) }, flat(5, 8), FLICKER]))).toEqual([[0, 22]])
    expect(ends(joined([{ work: flat(50, 9) }, flat(5, 8), FLICKER]))).toHaveLength(2)
    const other = [{ work: flat(60, 30) }, flat(5, 20)]
    expect(ends(joined([...other, FLICKER, flat(5, 8), FLICKER]))[1]).toEqual([50, 80])
    expect(ends(joined([{ work: flat(50, 3) }, flat(5, 8), { work: flat(50, 3) }]))).toHaveLength(2)
  })
})
