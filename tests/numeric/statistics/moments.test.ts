import { describe, expect, it } from 'vitest'
import { autocorrelation, mean, standardDeviation } from '../../../src/numeric/statistics/moments.js'

// Digits on published data: tests/certified/univariate.test.ts.

describe('a mean', () => {
  it('is undefined for no values, and the value for one', () => {
    expect(mean([])).toBeUndefined()
    expect(mean([0.1])).toBe(0.1)
  })

  it('gets back what rounding took from the sum', () => {
    // The sum of ten tenths is 0.9999999999999999.
    expect(new Array(10).fill(0.1).reduce((sum, each) => sum + each, 0) / 10).not.toBe(0.1)
    expect(mean(new Array(10).fill(0.1))).toBe(0.1)
  })
})

describe('a standard deviation', () => {
  it('is undefined for fewer than two values, and half of the square root of two steps for two', () => {
    expect(standardDeviation([])).toBeUndefined()
    expect(standardDeviation([3])).toBeUndefined()
    expect(standardDeviation([1, 3])).toBeCloseTo(Math.SQRT2, 14)
  })
})

describe('an autocorrelation', () => {
  it('is undefined for equal values, and for no more values than the lag', () => {
    expect(autocorrelation([2, 2, 2], 1)).toBeUndefined()
    expect(autocorrelation([1, 2], 2)).toBeUndefined()
    expect(autocorrelation([], 0)).toBeUndefined()
  })

  it('is 1 at no lag, and of the outermost two at the greatest', () => {
    expect(autocorrelation([1, 5, 9], 0)).toBe(1)
    // Deviations -4, 0, 4: -16 / 32.
    expect(autocorrelation([1, 5, 9], 2)).toBe(-0.5)
    expect(autocorrelation([1, 5, 9], 1)).toBe(0)
  })
})
