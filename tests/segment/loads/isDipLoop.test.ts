import { describe, expect, it } from 'vitest'
import { isDipLoop, workBetween } from '../../../src/segment/loads/isDipLoop.js'
import { traceOf } from '../makeSteps.js'

interface Shape {
  /** Samples of work, and of the dips between, by turns. */
  readonly work?: readonly number[]
  readonly dips?: readonly number[]
  readonly levelsW?: readonly number[]
  readonly everyS?: number
}

/** Whether work of so many samples with dips between is a loop, after three samples of idle. */
function isLoop({
  work = [60, 60, 60, 60],
  dips = [5, 5, 5],
  levelsW = dips.map(() => 20),
  everyS = 1,
}: Shape) {
  let at = 3 + work[0]!
  const found = dips.map((samples, k) => {
    const dip = { from: at, to: at + samples, levelW: levelsW[k]! }
    at += samples + work[k + 1]!
    return dip
  })
  const timesS = Float64Array.from({ length: at + 3 }, (_, i) => (i + 1) * everyS)
  return isDipLoop(traceOf(timesS, timesS.slice()), { from: 3, to: at }, found)
}

describe('dips between like work', () => {
  it('are the pauses of a loop, three of them or more', () => {
    expect(isLoop({})).toBe(true)
    expect(isLoop({ work: [60, 60, 60, 60, 60], dips: [5, 5, 5, 5] })).toBe(true)
    expect(isLoop({ work: [60, 60, 60], dips: [5, 5] })).toBe(false)
    expect(isLoop({ work: [60], dips: [] })).toBe(false)
  })

  it('last alike to 0.3 s, two samples and a tenth', () => {
    // Of 20 s: 0.3 + 2 + 2.
    expect(isLoop({ dips: [20, 20, 24] })).toBe(true)
    expect(isLoop({ dips: [20, 20, 25] })).toBe(false)
    expect(isLoop({ dips: [16, 20, 20] })).toBe(true)
    expect(isLoop({ dips: [15, 20, 20] })).toBe(false)
    // Every tenth of a second: 0.3 + 0.2 + 0.5 of 5 s.
    const fine = (tenths: number) =>
      isLoop({ work: [600, 600, 600, 600], dips: [50, 50, tenths], everyS: 0.1 })
    expect(fine(59)).toBe(true)
    expect(fine(61)).toBe(false)
  })

  it('have like powers, within 15 %', () => {
    expect(isLoop({ levelsW: [20, 20, 22.9] })).toBe(true)
    expect(isLoop({ levelsW: [20, 20, 23.1] })).toBe(false)
    expect(isLoop({ levelsW: [16.9, 20, 20] })).toBe(false)
  })

  it('leave work of 8 s at least, and no shorter than they are themselves', () => {
    expect(isLoop({ work: [8, 8, 8, 8], dips: [3, 3, 3] })).toBe(true)
    expect(isLoop({ work: [7, 7, 7, 7], dips: [3, 3, 3] })).toBe(false)
    expect(isLoop({ dips: [60, 60, 60] })).toBe(true)
    expect(isLoop({ dips: [61, 61, 61] })).toBe(false)
  })

  it('leave like work: a first stretch that may be quicker, a last one that may be broken off', () => {
    // e^0.25 is 1.28, e^-0.25 0.78, e^-0.9 0.41, e^0.15 1.16.
    const five = (...work: number[]) => isLoop({ work, dips: [5, 5, 5, 5] })
    expect(five(100, 100, 127, 100, 100)).toBe(true)
    expect(five(100, 100, 129, 100, 100)).toBe(false)
    expect(five(100, 79, 100, 100, 100)).toBe(true)
    expect(five(100, 77, 100, 100, 100)).toBe(false)
    expect(five(42, 100, 100, 100, 100)).toBe(true)
    expect(five(40, 100, 100, 100, 100)).toBe(false)
    expect(five(127, 100, 100, 100, 100)).toBe(true)
    expect(five(129, 100, 100, 100, 100)).toBe(false)
    expect(five(100, 100, 100, 100, 10)).toBe(true)
    expect(five(100, 100, 100, 100, 115)).toBe(true)
    expect(five(100, 100, 100, 100, 117)).toBe(false)
  })

  it('at the start of a log count from its first sample', () => {
    const timesS = Float64Array.from({ length: 60 }, (_, i) => i + 1)
    const dips = [12, 27, 42].map((from) => ({ from, to: from + 3, levelW: 20 }))
    expect(isDipLoop(traceOf(timesS, timesS.slice()), { from: 0, to: 57 }, dips)).toBe(true)
  })
})

it('work lies before, between and after dips', () => {
  const dips = [
    { from: 10, to: 12 },
    { from: 20, to: 25 },
  ]
  expect(workBetween({ from: 3, to: 40 }, dips)).toEqual([
    { from: 3, to: 10 },
    { from: 12, to: 20 },
    { from: 25, to: 40 },
  ])
  expect(workBetween({ from: 3, to: 40 }, [])).toEqual([{ from: 3, to: 40 }])
})
