import { describe, expect, it } from 'vitest'
import { coarsenRecord } from '../../../src/fit/chassis/coarsenRecord.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'

/** Eight samples of a tenth of a second, the first two of a pause. */
function record(parts: Partial<LoadRecord> = {}): LoadRecord {
  const toS = Float64Array.from([0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8])
  return {
    idleW: 5,
    idleSeen: true,
    passes: [{ startS: 0.2, endS: 0.8 }],
    fromS: toS.map((s) => s - 0.1),
    toS,
    powerW: Float64Array.of(5, 5, 100, 90, 80, 70, 60, 50),
    temperatureC: Float64Array.of(40, 41, 42, 43, 44, 45, 46, 47),
    pass: Int16Array.of(-1, -1, 0, 0, 0, 0, 0, 0),
    noiseW: 2,
    autocorrelation: 0,
    intervalS: 0.1,
    ...parts,
  }
}

describe('a record in fewer intervals', () => {
  it('joins neighbours of one pass to their mean, with the last of their temperatures', () => {
    const { fromS, toS, powerW, temperatureC, pass, intervalS, noiseW } = coarsenRecord(record(), 4)
    expect(Array.from(fromS)).toEqual([0, 0.2, 0.4, 0.6].map((s) => expect.closeTo(s, 12)))
    expect(Array.from(toS)).toEqual([0.2, 0.4, 0.6, 0.8])
    expect(Array.from(powerW)).toEqual([5, 95, 75, 55].map((watts) => expect.closeTo(watts, 12)))
    expect(Array.from(temperatureC!)).toEqual([41, 43, 45, 47])
    expect(Array.from(pass)).toEqual([-1, 0, 0, 0])
    expect(intervalS).toBeCloseTo(0.2, 12)
    // Noise of a mean of two.
    expect(noiseW).toBeCloseTo(Math.SQRT2, 12)
  })

  it('weighs samples by their length', () => {
    const uneven = record({
      toS: Float64Array.of(0.3, 0.4),
      fromS: Float64Array.of(0, 0.3),
      powerW: Float64Array.of(100, 60),
      pass: Int16Array.of(0, 0),
      temperatureC: null,
    })
    const { powerW, temperatureC } = coarsenRecord(uneven, 1)
    expect(Array.from(powerW)).toEqual([expect.closeTo(90, 12)])
    expect(temperatureC).toBeNull()
  })

  it('joins none over the edge of a pass', () => {
    const { fromS, powerW } = coarsenRecord(record({ pass: Int16Array.of(-1, 0, 0, 0, 0, 0, 0, 0) }), 4)
    expect(Array.from(fromS)).toEqual([0, 0.1, 0.3, 0.5, 0.7].map((s) => expect.closeTo(s, 12)))
    expect(powerW[1]).toBeCloseTo(52.5, 12)
  })

  it('joins none over a gap', () => {
    const whole = record()
    const gapped = { ...whole, fromS: whole.fromS.slice().fill(0.55, 5, 6) }
    expect(Array.from(coarsenRecord(gapped, 4).fromS)).toEqual(
      [0, 0.2, 0.4, 0.55, 0.7].map((s) => expect.closeTo(s, 12)),
    )
  })

  it('is no quieter than its noise was, however that is correlated', () => {
    expect(coarsenRecord(record({ autocorrelation: 0.2 }), 4).noiseW).toBeCloseTo(2 * Math.sqrt(1.5 / 2), 12)
    expect(coarsenRecord(record({ autocorrelation: 0.8 }), 4).noiseW).toBe(2)
  })

  it('has no interval of more than half a second, and is itself where nothing is joined', () => {
    expect(coarsenRecord(record(), 1).intervalS).toBeCloseTo(0.5, 12)
    const slow = record({ intervalS: 0.3 })
    expect(coarsenRecord(slow, 1)).toBe(slow)
    const few = record()
    expect(coarsenRecord(few, 8)).toBe(few)
  })
})
