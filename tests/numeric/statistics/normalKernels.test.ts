import { Matrix } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { addKernelDensities, normalKernels } from '../../../src/numeric/statistics/normalKernels.js'

describe('addKernelDensities', () => {
  it('adds the mean of normal densities around the centres, times the points drawn, over the prior', () => {
    const centres = [Float64Array.of(0, 1), Float64Array.of(2, -1)]
    const factor = new Matrix([
      [0.8, 0],
      [0.3, 0.5],
    ])
    const points = Float64Array.of(0.4, 0.2, 1.5, -0.7)
    const densities = Float64Array.of(3, 5)
    const logPriors = Float64Array.of(Math.log(0.25), Math.log(4))
    addKernelDensities(normalKernels(centres, factor, 10), { points, logPriors }, densities, 1)
    // Bivariate normal density with covariance L L', written out.
    const [a, b, c] = [0.64, 0.24, 0.34]
    const det = a * c - b * b
    const density = (x: number, y: number) =>
      Math.exp(-(c * x * x - 2 * b * x * y + a * y * y) / (2 * det)) / (2 * Math.PI * Math.sqrt(det))
    const mean = (density(1.5, -1.7) + density(-0.5, 0.3)) / 2
    expect(densities[0]).toBe(3)
    expect(densities[1]).toBeCloseTo(5 + (10 * mean) / 4, 12)
  })
})
