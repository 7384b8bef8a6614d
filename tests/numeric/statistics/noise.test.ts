import { describe, expect, it } from 'vitest'
import {
  effectiveSampleSize,
  estimateNoise,
  lagOneCorrelation,
} from '../../../src/numeric/statistics/noise.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

describe('estimateNoise', () => {
  it('finds scale and correlation of first-order noise within a tenth', () => {
    for (const correlation of [0, 0.3, 0.6]) {
      const noise = estimateNoise(makeNoise(8000, correlation, 2, 11), 0)
      expect(Math.abs(noise.scale / 2 - 1)).toBeLessThan(0.1)
      expect(Math.abs(noise.autocorrelation - correlation)).toBeLessThan(0.1)
    }
  })

  it('takes no notice of a slope, of steps and of spikes', () => {
    const values = makeNoise(2000, 0, 1, 3).map(
      (x, i) => x + 0.05 * i + (i > 900 ? 40 : 0) + (i % 97 === 0 ? 60 : 0),
    )
    expect(Math.abs(estimateNoise(values, 0).scale - 1)).toBeLessThan(0.15)
  })

  it('never falls below the floor, and gives it when there is too little to tell', () => {
    expect(estimateNoise([5, 5, 5, 5, 5, 5, 5, 5], 0.1).scale).toBe(0.1)
    expect(estimateNoise([1, 2], 0.3)).toEqual({ scale: 0.3, autocorrelation: 0, whiteScale: 0.3 })
  })

  it('hears noise of a third of a quantum in quantised values', () => {
    const values = makeNoise(4000, 0, 0.35, 5).map((x) => Math.round(x))
    expect(estimateNoise(values, 1 / Math.sqrt(12)).scale).toBeGreaterThan(0.28)
    expect(estimateNoise(values, 1 / Math.sqrt(12)).scale).toBeLessThan(0.6)
  })
})

describe('correlated samples', () => {
  it('the lag-1 correlation of first-order noise comes back', () => {
    expect(Math.abs(lagOneCorrelation(makeNoise(5000, 0.5, 1, 8), 1) - 0.5)).toBeLessThan(0.05)
  })

  it('correlation 0.5 makes three samples worth one', () => {
    expect(effectiveSampleSize(300, 0.5)).toBeCloseTo(100, 10)
    expect(effectiveSampleSize(300, 0)).toBe(300)
  })
})

function makeNoise(count: number, correlation: number, scale: number, seed: number): Float64Array {
  const random = seededRandom(seed)
  let error = random.normal()
  return Float64Array.from({ length: count }, () => {
    error = correlation * error + Math.sqrt(1 - correlation ** 2) * random.normal()
    return scale * error
  })
}
