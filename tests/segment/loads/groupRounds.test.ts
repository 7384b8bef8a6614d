import { describe, expect, it } from 'vitest'
import type { Trace } from '../../../src/log/trace.js'
import { groupRounds } from '../../../src/segment/loads/groupRounds.js'
import type { WorkRange } from '../../../src/segment/loads/workRanges.js'

/** A stretch of work, its power by the sample, one a second unless told. */
type Work = readonly number[]

const flat = (lengthS: number, watts: number): Work => Array.from({ length: lengthS }, () => watts)
const IDLE_W = 5

/** Sizes of the groups that stretches make with pauses of so many samples between them. */
function sizes(works: readonly Work[], pausesS: readonly number[], everyS = 1): readonly number[] {
  const power: number[] = flat(20, IDLE_W).slice()
  const ranges = works.map((work, k): WorkRange => {
    const from = power.length
    power.push(...work)
    const range = { from, to: power.length, idleBeforeW: IDLE_W, idleAfterW: IDLE_W }
    power.push(...flat(pausesS[k] ?? 20, IDLE_W))
    return range
  })
  const trace: Trace = {
    timesS: Float64Array.from(power, (_, i) => everyS * i),
    powerW: Float64Array.from(power),
    temperatureC: null,
    clockHz: null,
    intervalS: everyS,
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

describe('two stretches alone', () => {
  const pair = (lengthS: number, watts: number, pauseS: number, firstS = 60) =>
    sizes([flat(firstS, 60), flat(lengthS, watts)], [pauseS]).length

  it('are rounds within 2 % of each other with a pause as long as they are', () => {
    expect(pair(60, 60, 60)).toBe(1)
    expect(pair(60, 60, 61)).toBe(2)
    expect(pair(61, 60, 40)).toBe(1)
    expect(pair(62, 60, 40)).toBe(2)
    expect(pair(60, 58, 60)).toBe(1)
  })

  it('are rounds within 3 % of the same work with a pause of up to 30 s', () => {
    expect(pair(103, 60, 30, 100)).toBe(1)
    expect(pair(103, 60, 31, 100)).toBe(2)
    expect(pair(60, 57, 30)).toBe(1)
    expect(pair(60, 57, 31)).toBe(2)
  })

  it('are rounds where less power takes longer, with a pause of up to 15 s and a quarter of the shorter one', () => {
    // 8.7 % less: 4.4 % longer, give or take 3 % and 3.0 %.
    expect([58, 60, 63, 66, 67].map((lengthS) => pair(lengthS, 55, 15))).toEqual([2, 1, 1, 1, 2])
    expect(pair(63, 55, 16)).toBe(2)
    expect(pair(42, 55, 10, 40)).toBe(1)
    expect(pair(42, 55, 11, 40)).toBe(2)
  })
})

describe('three stretches in a row', () => {
  const lengths = (lengthsS: readonly number[], pauses: readonly number[], everyS = 1) =>
    sizes(
      lengthsS.map((lengthS) => flat(lengthS, 60)),
      pauses,
      everyS,
    )
  const apart = [1, 1, 1]

  it('are rounds with pauses that differ by a factor of two where they are alike by 12 %', () => {
    expect(lengths([60, 64, 60], [40, 79])).toEqual([3])
    expect(lengths([60, 64, 60], [40, 81])).toEqual(apart)
    expect(lengths([60, 68, 60], [40, 70])).toEqual(apart)
    expect(sizes([flat(60, 60), flat(64, 53), flat(60, 53)], [40, 70])).toEqual(apart)
  })

  it('are rounds that differ more with pauses that are the same but for their sampling', () => {
    expect(lengths([60, 69, 60], [40, 44])).toEqual([3])
    expect(lengths([60, 69, 60], [40, 45])).toEqual(apart)
    // At one power the same work takes as long.
    expect(lengths([60, 70, 60], [40, 44])).toEqual(apart)
  })

  it('are rounds where one spans two to five of those beside it, since pauses of the log are missing', () => {
    expect(lengths([60, 130, 60], [10, 10])).toEqual([3])
    expect(lengths([60, 145, 60], [10, 10])).toEqual(apart)
    expect(lengths([60, 340, 60], [10, 10])).toEqual([3])
    expect(lengths([60, 410, 60], [10, 10])).toEqual(apart)
    expect(lengths([60, 150, 60], [30, 30])).toEqual([3])
    expect(lengths([60, 151, 60], [31, 31])).toEqual(apart)
    expect(sizes([flat(60, 60), flat(130, 45), flat(60, 60)], [10, 10])).toEqual([3])
    expect(sizes([flat(60, 60), flat(130, 44), flat(60, 60)], [10, 10])).toEqual(apart)
    // One that no round like the first follows is a task of its own.
    expect(lengths([60, 130, 120], [10, 10])).toEqual(apart)
  })

  it('are rounds of any length where pauses are of two samples, which a log may miss', () => {
    const then = (one: number, next: number) =>
      sizes([flat(12, one), flat(34, next), flat(20, next)], [2, 2], 5)
    expect(lengths([12, 34, 20], [2, 2], 5)).toEqual([3])
    expect(lengths([12, 34, 20], [3, 3], 5)).toEqual(apart)
    expect(lengths([12, 34, 20], [2, 3], 5)).toEqual(apart)
    expect(lengths([12, 1, 34], [2, 2], 5)).toEqual(apart)
    expect(then(50, 40)).toEqual([3])
    expect(then(60, 40)).toEqual(apart)
    // Of unlike mean power, but alike by the clock.
    const falls = (samples: number) => [...flat(12, 60), ...flat(samples - 12, 20)]
    expect(sizes([flat(12, 60), falls(52), falls(20)], [2, 2], 5)).toEqual([3])
  })
})

describe('the first of a loop', () => {
  const first = (lengthS: number, watts: number, { thenS = 60, thenW = 60, pauseS = 40 } = {}) =>
    sizes([flat(lengthS, watts), flat(thenS, thenW), flat(thenS, thenW)], [pauseS, 40])

  it('may be far shorter at the power of the next, and little longer', () => {
    expect(first(60, 60, { thenS: 149 })).toEqual([3])
    expect(first(60, 60, { thenS: 151 })).toEqual([1, 2])
    expect(first(68, 90)).toEqual([3])
    expect(first(70, 90)).toEqual([1, 2])
  })

  it('may have up to 2.5 times the power of the next, and no less than nine tenths', () => {
    expect(first(60, 150)).toEqual([3])
    expect(first(60, 151)).toEqual([1, 2])
    expect(first(60, 18.2, { thenW: 20 })).toEqual([3])
    expect(first(60, 17.9, { thenW: 20 })).toEqual([1, 2])
  })

  it('has the pause of the others', () => {
    expect(first(60, 90, { pauseS: 44 })).toEqual([3])
    expect(first(60, 90, { pauseS: 45 })).toEqual([1, 2])
  })
})

describe('the last of a loop', () => {
  const last = (lengthS: number, watts: number, pauseS = 40) =>
    sizes([flat(60, 60), flat(60, 60), flat(lengthS, watts)], [40, pauseS])

  it('may be broken off, at the power and with the pause of the others', () => {
    expect(last(20, 60)).toEqual([3])
    expect(last(100, 60)).toEqual([2, 1])
    expect(last(20, 100)).toEqual([2, 1])
    expect(last(20, 60, 46)).toEqual([2, 1])
  })
})

describe('pieces of a task that waits', () => {
  const pieces = (lengthsS: readonly number[], powersW: readonly number[]) =>
    sizes(
      lengthsS.map((lengthS, k) => flat(lengthS, powersW[k]!)),
      [5, 9, 6, 8],
    )

  it('are one load of several powers where none are rounds, within 60 % of each other and 20 s', () => {
    const powersW = [60, 45, 65, 48, 60]
    expect(pieces([10, 17, 8, 19, 12], powersW)).toEqual([5])
    expect(pieces([10, 17, 8, 19], powersW)).toEqual([4])
    expect(pieces([10, 17, 8, 19, 12], [60, 45, 75, 48, 60])).toEqual([1, 1, 1, 1, 1])
    expect(pieces([22, 37, 25, 45, 26], powersW)).toEqual([1, 1, 1, 1, 1])
  })
})
