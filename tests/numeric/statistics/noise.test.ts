import { describe, expect, it } from 'vitest'
import {
  correlationFactor,
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

describe('estimateNoise of few values', () => {
  it('follows from the second differences of five', () => {
    const { scale, autocorrelation, whiteScale } = estimateNoise([0, 0, 1, 0, 0], 0)
    // Differences 1, 2, 1, of which 2 lies above the 90 % point; those at twice the distance are 2: four times the variance, where 2.0 is the most.
    const variance = 1.482602 * Math.sqrt(1 / 0.623)
    expect(whiteScale).toBeCloseTo(Math.sqrt(variance / 6), 5)
    expect(autocorrelation).toBeCloseTo(0.95, 9)
    expect(scale).toBeCloseTo(Math.sqrt(variance / (6 - 8 * 0.95 + 2 * 0.95 ** 2)), 5)
  })

  it('is the trimmed mean square where most differences are zero', () => {
    // Of ten differences seven are 0, two 1 and one 2, which lies above the 90 % point of 1.1.
    const { whiteScale } = estimateNoise([0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0], 0)
    expect(whiteScale).toBeCloseTo(Math.sqrt(2 / 9 / 0.623 / 6), 12)
  })

  it('of one value is that of independent samples', () => {
    const { autocorrelation, ...scales } = estimateNoise([5, 5, 5, 5, 5], 0.1)
    expect(autocorrelation).toBeCloseTo(0, 9)
    expect(scales).toEqual({ scale: 0.1, whiteScale: 0.1 })
  })
})

describe('correlated samples', () => {
  it('have a lag-1 correlation that is raised for the bias of few, between -0.5 and 0.95', () => {
    // Products of neighbours sum to -5, squares to 12.
    const raw = -5 / 12
    const residuals = [1, -1, 2, 1, -2, 1]
    expect(lagOneCorrelation(residuals, 1)).toBeCloseTo(raw + (1 + 3 * raw) / 6, 12)
    // Clipped at four scales: 1, -1, 1, 1, -1, 1.
    expect(lagOneCorrelation(residuals, 0.25)).toBe(-0.5)
    expect(lagOneCorrelation([3, 3, 3, 3, -3, -3, -3, 3, 3], 0.25)).toBeCloseTo(4 / 9 + (1 + 12 / 9) / 9, 12)
    expect(lagOneCorrelation([1, 1, 1, 1], 1)).toBe(0.95)
  })

  it('have none where there are fewer than four, or nothing scatters', () => {
    expect(lagOneCorrelation([1, 1, 1], 1)).toBe(0)
    expect(lagOneCorrelation([1, 1, 1, 1], 0)).toBe(0)
    expect(lagOneCorrelation([0, 0, 0, 0], 1)).toBe(0)
  })

  it('are worth at least one sample, and never more than there are', () => {
    expect(effectiveSampleSize(2, 0.5)).toBe(1)
    expect(correlationFactor(-0.3)).toBe(1)
    expect(correlationFactor(0.99)).toBeCloseTo(1.95 / 0.05, 9)
  })

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
