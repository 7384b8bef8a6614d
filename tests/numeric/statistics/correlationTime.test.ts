import { describe, expect, it } from 'vitest'
import { correlationTime } from '../../../src/numeric/statistics/correlationTime.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** First-order autoregression with unit variance. */
function autoregression(count: number, correlation: number, seed: number): Float64Array {
  const random = seededRandom(seed)
  let value = random.normal()
  return Float64Array.from({ length: count }, () => {
    value = correlation * value + Math.sqrt(1 - correlation ** 2) * random.normal()
    return value
  })
}

describe('the integrated autocorrelation time', () => {
  it.each([0, 0.5, 0.8, 0.95])(
    'of a first-order autoregression with %d is (1 + p) / (1 - p), Bayley and Hammersley (1946)',
    (p) => {
      const times = [1, 2, 3, 4].map((seed) => correlationTime(autoregression(20_000, p, seed)))
      const mean = times.reduce((sum, time) => sum + time, 0) / times.length
      expect(mean / ((1 + p) / (1 - p))).toBeGreaterThan(0.9)
      expect(mean / ((1 + p) / (1 - p))).toBeLessThan(1.1)
    },
  )

  it('is half of the series at most, where the correlation never ends', () => {
    // Of ones: 1 + 2 (0.9 + 0.8 + 0.7 + 0.6) = 7 from lags 1 to 4.
    expect(correlationTime(new Float64Array(10).fill(1))).toBe(5)
  })

  it('is a number of samples, whatever unit their values have', () => {
    const values = autoregression(500, 0.6, 3)
    expect(correlationTime(values.map((value) => 7 * value))).toBeCloseTo(correlationTime(values), 9)
  })

  it('is 1 for what alternates, for a constant and for next to nothing, and never above half of the series', () => {
    expect(correlationTime([1, -1, 1, -1, 1, -1, 1, -1])).toBe(1)
    expect(correlationTime([0, 0, 0, 0, 0])).toBe(1)
    expect(correlationTime([3, 1])).toBe(1)
    expect(correlationTime(Array.from({ length: 40 }, (_, i) => (i < 20 ? -1 : 1)))).toBeLessThanOrEqual(20)
  })
})
