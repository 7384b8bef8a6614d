import { describe, expect, it } from 'vitest'
import { measureRun } from '../../../src/segment/stages/measureRun.js'
import { traceOf } from '../makeSteps.js'

/** A run over samples of a log with one each two seconds, beside 10 W of idle unless told otherwise. */
function measured(
  powers: readonly number[],
  [from, to]: readonly [number, number],
  { averaged = true, idleBeforeW = 10 as number | null, idleAfterW = 10 as number | null } = {},
) {
  const timesS = Float64Array.from(powers, (_, i) => 100 + 2 * i)
  const run = { from, to, idleBeforeW, idleAfterW }
  return measureRun(traceOf(timesS, Float64Array.from(powers)), run as never, averaged)
}

// Samples are means over the 2 s that end at them: one at 106 s holds 104 to 106 s.
describe('a run of a log of averages', () => {
  it('begins and ends within its first and last sample, by the share of them that worked', () => {
    // Half of 104 to 106 s, a third of 114 to 116 s.
    const { startS, endS, meanW, energyWh } = measured(
      [10, 10, 10, 55, 100, 100, 100, 100, 40, 10, 10],
      [3, 9],
    )
    expect(startS).toBeCloseTo(105, 9)
    expect(endS).toBeCloseTo(114 + 2 / 3, 9)
    expect(meanW).toBeCloseTo(100, 9)
    expect(energyWh).toBeCloseTo((100 * (9 + 2 / 3)) / 3600, 12)
  })

  it('reaches into the sample before and the one behind it where the first and the last are full', () => {
    const { startS, endS, meanW } = measured([10, 10, 28, 100, 100, 100, 100, 100, 46, 10, 10], [3, 8])
    // A fifth of 102 to 104 s, two fifths of 114 to 116 s.
    expect(startS).toBeCloseTo(104 - 0.4, 9)
    expect(endS).toBeCloseTo(114 + 0.8, 9)
    expect(meanW).toBeCloseTo(100, 9)
  })

  it('takes what differs from idle or work by 5 % of the step as noise', () => {
    const edges = (beforeW: number, firstW: number, lastW: number, afterW: number) => {
      const { startS, endS } = measured(
        [10, 10, beforeW, firstW, 100, 100, 100, 100, lastW, afterW, 10],
        [3, 9],
      )
      return [startS, endS]
    }
    expect(edges(14.4, 95.6, 95.6, 14.4)).toEqual([104, 116])
    // Shares of 4.6 and 85.4 W in 90 W.
    const [startS, endS] = edges(14.6, 95.4, 95.4, 14.6)
    expect(startS).toBeCloseTo(106 - (2 * 85.4) / 90, 9)
    expect(endS).toBeCloseTo(114 + (2 * 85.4) / 90, 9)
    expect(edges(14.6, 100, 100, 14.6)[0]).toBeCloseTo(104 - (2 * 4.6) / 90, 9)
    expect(edges(14.6, 100, 100, 14.6)[1]).toBeCloseTo(116 + (2 * 4.6) / 90, 9)
  })

  it('has the median of the next three samples inside as its work', () => {
    const { startS, endS } = measured([10, 10, 10, 55, 100, 300, 100, 100, 300, 100, 55, 10], [3, 11])
    expect(startS).toBeCloseTo(105, 9)
    expect(endS).toBeCloseTo(119, 9)
    const spikes = measured([10, 10, 10, 55, 300, 100, 100, 100, 100, 300, 55, 10], [3, 11])
    expect([spikes.startS, spikes.endS]).toEqual([105, 119])
    const rises = [10, 10, 10, 55, 100, 100, 100, 200, 200, 200, 200, 200, 100, 100, 100, 55, 10]
    const later = measured(rises, [3, 16])
    expect([later.startS, later.endS]).toEqual([105, 129])
  })

  it('counts the energy of each sample for its time', () => {
    const { startS, endS, energyWh, meanW } = measured([10, 10, 10, 100, 80, 120, 90, 100, 10, 10], [3, 8])
    expect([startS, endS]).toEqual([104, 114])
    expect(energyWh).toBeCloseTo((2 * (100 + 80 + 120 + 90 + 100)) / 3600, 12)
    expect(meanW).toBeCloseTo(98, 9)
  })

  it('begins and ends with the log where that begins or ends with work', () => {
    const whole = measured([100, 100, 100, 100, 100], [0, 5], { idleBeforeW: null, idleAfterW: null })
    expect([whole.startS, whole.endS]).toEqual([100, 108])
    expect(whole.meanW).toBeCloseTo(100, 9)
    const open = measured([10, 10, 55, 100, 100, 100, 55, 10], [2, 7], {
      idleBeforeW: null,
      idleAfterW: null,
    })
    expect([open.startS, open.endS]).toEqual([102, 112])
    const noIdle = measured([55, 100, 100, 100, 55], [0, 5])
    expect([noIdle.startS, noIdle.endS]).toEqual([100, 108])
  })

  it('may be a single sample', () => {
    const { startS, endS, meanW } = measured([10, 10, 100, 10, 10], [2, 3])
    expect(startS).toBeLessThan(endS)
    expect(meanW).toBeCloseTo(100, 9)
  })
})

describe('a run of a log of instants', () => {
  it('begins and ends in the middle between the samples inside and outside', () => {
    const { startS, endS } = measured([10, 10, 100, 100, 100, 10], [2, 5], { averaged: false })
    expect([startS, endS]).toEqual([103, 109])
  })

  it('ends with the log', () => {
    const { startS, endS } = measured([100, 100, 100], [0, 3], { averaged: false })
    expect([startS, endS]).toEqual([100, 104])
  })
})
