import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { leastDifference, quantization, roundingBias } from '../../../src/segment/stages/quantization.js'

const random = seededRandom(4)
const LEVELS_W = [2, 21.4, 28.1, 41]

/** A log of idle and three levels. */
function log(noiseW: number, written: (powerW: number) => number): Float64Array {
  return Float64Array.from({ length: 1200 }, (_, i) =>
    written(LEVELS_W[Math.floor(i / 300)]! + noiseW * random.normal()),
  )
}

const onGrid = (step: number) => (powerW: number) => step * Math.round(powerW / step)

describe('the grid of a log', () => {
  it.each([0.5, 0.25, 1])('is seen where values are rounded to %f W', (step) => {
    expect(quantization(log(0.3, onGrid(step)))).toBeCloseTo(step, 9)
  })

  it('is seen through the jitter that a counter adds to each step', () => {
    const jittered = (powerW: number) => onGrid(0.5)(powerW) * (1 + 2e-4 * random.normal())
    expect(quantization(log(0.2, jittered))).toBeCloseTo(0.5, 2)
  })

  it('is not seen in noise, nor in exact levels that lie as they please', () => {
    expect(quantization(log(0.3, (powerW) => powerW))).toBeUndefined()
    expect(
      quantization(Float64Array.from({ length: 300 }, (_, i) => [5, 90, 45.3, 60.1, 71.7][i % 5]!)),
    ).toBeUndefined()
    expect(quantization(Float64Array.of(5, 5, 5))).toBeUndefined()
  })

  it('is believed from four crowds of three on', () => {
    const crowds = (steps: readonly number[], size: number) =>
      Float64Array.from(steps.flatMap((step) => new Array<number>(size).fill(step)))
    expect(quantization(crowds([10, 10.5, 11, 11.5], 3))).toBeCloseTo(0.5, 12)
    expect(quantization(crowds([10, 10.5, 12, 14], 3))).toBeCloseTo(0.5, 12)
    expect(quantization(crowds([10, 10.5, 11, 11.5], 2))).toBeUndefined()
    expect(quantization(crowds([10, 10.5, 11], 9))).toBeUndefined()
    // Levels that happen to lie evenly are no logger's grid.
    expect(quantization(crowds([20, 40, 60, 80], 9))).toBeUndefined()
  })

  it('has no step greater than the least difference', () => {
    expect(leastDifference(Float64Array.of(1, 3, 1.5, 1.5))).toBeCloseTo(0.5, 12)
    expect(leastDifference(Float64Array.of(2, 2))).toBe(Number.POSITIVE_INFINITY)
  })
})

// B. Widrow (1956): with a standard deviation of half a step or more a rounded mean is true to a thousandth of the step.
describe('what rounding leaves in a mean', () => {
  it.each([0.05, 0.15, 0.25, 0.4])('is what rounded samples of noise %f steps show', (noise) => {
    let square = 0
    let variance = 0
    const levels = 200
    for (let k = 0; k < levels; k++) {
      const level = 10 + k / levels
      const values = Array.from({ length: 400 }, () => Math.round(level + noise * random.normal()))
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length
      square += (mean - level) ** 2 / levels
      variance += values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length / levels
    }
    // The sampling error of 400 samples is in what was measured.
    const found = Math.hypot(roundingBias(1, variance), Math.sqrt(variance / 400))
    expect(found / Math.sqrt(square)).toBeGreaterThan(0.6)
    expect(found / Math.sqrt(square)).toBeLessThan(1.7)
  })

  it('grows with the grid', () => {
    for (const variance of [0.1, 0.2, 0.5])
      expect(roundingBias(0.5, variance / 4)).toBeCloseTo(roundingBias(1, variance) / 2, 12)
  })

  it('is nothing without a grid', () => {
    expect(roundingBias(0, 0)).toBe(0)
    expect(roundingBias(Number.POSITIVE_INFINITY, 1)).toBe(0)
    expect(roundingBias(0, 1)).toBe(0)
  })
})
