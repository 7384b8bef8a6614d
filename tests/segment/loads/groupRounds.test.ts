import { describe, expect, it } from 'vitest'
import type { Trace } from '../../../src/log/trace.js'
import { groupRounds } from '../../../src/segment/loads/groupRounds.js'
import type { WorkRange } from '../../../src/segment/loads/workRanges.js'

/** A stretch of work, one sample a second: its power by the second. */
type Work = readonly number[]

const flat = (lengthS: number, watts: number): Work => Array.from({ length: lengthS }, () => watts)
const IDLE_W = 5

/** Sizes of the groups that stretches make with pauses of so many seconds between them. */
function sizes(works: readonly Work[], pausesS: readonly number[]): readonly number[] {
  const power: number[] = flat(20, IDLE_W).slice()
  const ranges = works.map((work, k): WorkRange => {
    const from = power.length
    power.push(...work)
    const range = { from, to: power.length, idleBeforeW: IDLE_W, idleAfterW: IDLE_W }
    power.push(...flat(pausesS[k] ?? 20, IDLE_W))
    return range
  })
  const trace: Trace = {
    timesS: Float64Array.from(power, (_, i) => i),
    powerW: Float64Array.from(power),
    temperatureC: null,
    clockHz: null,
    intervalS: 1,
    startEpochS: null,
    startOfDayS: null,
  }
  return groupRounds(trace, ranges).map((group) => group.length)
}

describe('stretches of work', () => {
  it('are rounds of one loop where length, power and pauses are alike, also while power falls', () => {
    expect(sizes([flat(30, 60), flat(30, 60), flat(30, 60)], [10, 10])).toEqual([3])
    expect(sizes([flat(30, 60), flat(33, 50), flat(36, 42), flat(36, 42)], [10, 10, 10])).toEqual([4])
  })

  it('are loads of their own where a later one rises far above the one before, however even the pauses', () => {
    const stairs = [...flat(15, 35), ...flat(45, 70)]
    const hill = [...flat(25, 39), ...flat(25, 64), ...flat(25, 39)]
    expect(sizes([stairs, hill, flat(47, 52)], [20, 20])).toEqual([1, 1, 1])
  })

  it('are one load where they are short, come at uneven times, and wait for seconds only', () => {
    const works = [7, 10, 5, 12, 5, 12, 3, 13].map((lengthS) => flat(lengthS, 60))
    expect(sizes(works, [4, 4, 4, 4, 4, 5, 2])).toEqual([8])
    // Three of them say little, and pauses of a minute are no waits.
    expect(sizes(works.slice(1, 4), [4, 3])).toEqual([1, 1, 1])
    expect(sizes(works, [60, 40, 60, 50, 60, 50, 40]).length).toBeGreaterThan(4)
  })

  it('are one load of one power with waits of up to 10 s at uneven times, though some are alike', () => {
    const works = [10, 12, 12, 4, 13, 13, 9]
    expect(
      sizes(
        works.map((lengthS) => flat(lengthS, 60)),
        [7, 8, 9, 5, 7, 3],
      ),
    ).toEqual([7])
  })

  it('are one load around a wait of seconds, and two where the power differs, the wait is longer or one is a blip', () => {
    expect(sizes([flat(116, 60), flat(103, 60)], [1])).toEqual([2])
    expect(sizes([flat(25, 60), flat(5, 60), flat(31, 60)], [1, 3])).toEqual([3])
    expect(sizes([flat(116, 60), flat(60, 40)], [1])).toEqual([1, 1])
    expect(sizes([flat(116, 60), flat(60, 60)], [8])).toEqual([1, 1])
    expect(sizes([flat(116, 60), flat(3, 60)], [1])).toEqual([1, 1])
  })
})
