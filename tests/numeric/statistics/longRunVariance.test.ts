import { describe, expect, it } from 'vitest'
import { longRunVariance, roundingNoise } from '../../../src/numeric/statistics/longRunVariance.js'
import { medianAbsoluteDeviation } from '../../../src/numeric/statistics/medianAbsoluteDeviation.js'

// Residuals r, lag-1 correlation c = sum r_i r_(i-1) / sum r_i², raised by (1 + 3 c) / n (Kendall 1954), variance s² (1 + c) / (1 - c).

describe('long-run variance', () => {
  const series = Float64Array.of(2, 2, -2, -2, 2, 2, -2, -2, 2, 2, -2, -2)

  it('counts the correlation of neighbours about the mean', () => {
    // Eleven products of 4: six of them 4, five -4; squares 48.
    const c = 4 / 48
    const corrected = c + (1 + 3 * c) / 12
    const { scale, innovation, variance } = longRunVariance(series, false)
    expect(scale ** 2).toBeCloseTo(48 / 11, 9)
    expect(variance).toBeCloseTo(((48 / 11) * (1 + corrected)) / (1 - corrected), 9)
    // What the neighbour leaves open, of the likeliest variance 48 / 12.
    expect(innovation).toBeCloseTo(4 * (1 - c ** 2), 9)
  })

  it('is taken about the levels of a cut, each of which takes correlation away', () => {
    const stepped = series.map((value, i) => value + (i < 4 ? 100 : 50))
    const { scale, variance } = longRunVariance(stepped, false, { edges: [4], levels: [100, 50] })
    const c = 4 / 48
    const corrected = c + (1 + 3 * c) / 12
    expect(scale ** 2).toBeCloseTo(48 / 10, 9)
    const further = corrected + (1 + 3 * c) / 12
    expect(variance).toBeCloseTo(((48 / 10) * (1 + further)) / (1 - further), 9)
  })

  it('does not count outliers where it is robust', () => {
    const spiked = Float64Array.of(1, -1, 1, -1, 1, -1, 1, -1, 1, -1, 500, -1, 1)
    const robust = longRunVariance(spiked, true)
    expect(robust.scale).toBeGreaterThan(1)
    expect(robust.scale).toBeLessThan(3)
    expect(longRunVariance(spiked, false).scale).toBeGreaterThan(100)
    // Cut off at three times the median deviation: twelve of 1 or 2 about the median 1, one of 3 × 2 × 1.4826.
    const middle = medianAbsoluteDeviation(spiked.map((value) => value - 1))
    expect(robust.scale).toBeCloseTo(Math.max(middle, Math.sqrt((6 * 4 + (3 * middle) ** 2) / 12)), 9)
  })

  it('is no less than what rounding leaves', () => {
    expect(roundingNoise(Float64Array.of(1, 1, 3, 2.5, 2.5))).toBeCloseTo(0.5 / Math.sqrt(12), 12)
    expect(roundingNoise(Float64Array.of(7, 7, 7))).toBe(0)
    expect(roundingNoise(Float64Array.of(7))).toBe(0)
    const steps = Float64Array.of(5, 5, 5, 6, 6, 6)
    const { scale, variance } = longRunVariance(steps, false, { edges: [3], levels: [5, 6] })
    expect(scale).toBeCloseTo(1 / Math.sqrt(12), 12)
    expect(variance).toBeGreaterThan(0)
  })
})

it('the median deviation of normal noise is two thirds of its standard deviation', () => {
  expect(medianAbsoluteDeviation([-1, 1, 2, -50])).toBeCloseTo(1.5 * 1.4826, 9)
})
