import { describe, expect, it } from 'vitest'
import { centralCurves, centralDraws, drawFromPosterior } from '../../../src/fit/chip/drawFromPosterior.js'
import { smallPosterior } from './smallPosterior.js'

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
const deviation = (values: readonly number[]) =>
  Math.sqrt(mean(values.map((value) => (value - mean(values)) ** 2)))

describe('draws from a posterior', () => {
  it('have the scale that conjugate normals have: mean and deviation', () => {
    // Precision: three runs of 1 / 0.01², and 1 / 0.02² of the prior.
    const posterior = smallPosterior({ misfits: [[0.01, 0.02, 0.06]], variance: 4e-4, centres: [5] })
    const scales = drawFromPosterior(posterior, 400).map(({ coefficients }) => coefficients[0]!)
    const precision = 3e4 + 2500
    expect(mean(scales)).toBeCloseTo((0.09 * 1e4) / precision, 4)
    expect(deviation(scales) * Math.sqrt(precision)).toBeCloseTo(1, 1)
  })

  it('come with their curve, its scale, and what they miss of each run', () => {
    const posterior = smallPosterior({ misfits: [[0.01, 0.02, 0.06]], centres: [5] })
    for (const { candidate, curve, logScale, coefficients, residuals } of drawFromPosterior(posterior, 20)) {
      expect(candidate).toBe(0)
      expect(curve).toEqual(posterior.candidates.curveOf(0))
      expect(logScale).toBe(5 + coefficients[0]!)
      residuals.forEach((residual, k) => {
        expect(residual).toBeCloseTo(coefficients[0]! - [0.01, 0.02, 0.06][k]!, 12)
      })
    }
  })

  it('are the same every time, and central ones have no spread', () => {
    const posterior = smallPosterior({ misfits: [[0.01, 0.02, 0.06]] })
    expect(drawFromPosterior(posterior, 30)).toEqual(drawFromPosterior(posterior, 30))
    const central = centralDraws(posterior, 3).map(({ coefficients }) => coefficients[0]!)
    expect(new Set(central).size).toBe(1)
    expect(central[0]).toBeCloseTo(0.03, 6)
  })

  it('take each candidate as often as it is probable, in the order of their scale', () => {
    const shares = [0.5, 0.125, 0.375]
    const posterior = smallPosterior({
      misfits: shares.map(() => [0, 0]),
      priors: shares.map(Math.log),
      centres: [3, 1, 2],
    })
    const picked = (count: number) => centralDraws(posterior, count).map(({ candidate }) => candidate)
    expect(picked(8)).toEqual([1, 2, 2, 2, 0, 0, 0, 0])
    // One draw stands for the middle of its share: 0.125 of two draws is less than half a draw.
    expect(picked(2)).toEqual([2, 0])
    expect(picked(1)).toEqual([2])
    expect(centralCurves(posterior, 8)).toEqual(picked(8).map((c) => posterior.candidates.curveOf(c)))
    expect(drawFromPosterior(posterior, 8).map(({ candidate }) => candidate)).toEqual(picked(8))
  })

  it('take each noise level as often as it is probable', () => {
    const posterior = smallPosterior({
      misfits: [
        [0, 0],
        [0, 0],
      ],
      deviations: [0.01, 1e-6],
      // What a noise of 1e-6 makes more probable of runs that agree.
      logWeights: [9.4, 0],
      variance: 1e-4,
    })
    const told = posterior.probabilities[0]! / (posterior.probabilities[0]! + posterior.probabilities[1]!)
    expect(told).toBeGreaterThan(0.3)
    expect(told).toBeLessThan(0.7)
    const draws = drawFromPosterior(posterior, 200)
    // With noise of 1e-6 the scale is 0 to six digits, with 0.01 it is not.
    const loose = draws.filter(({ coefficients }) => Math.abs(coefficients[0]!) > 1e-5).length / 200
    expect(Math.abs(loose - told)).toBeLessThan(0.02)
    expect(draws.filter(({ candidate }) => candidate === 1)).toHaveLength(100)
    expect(centralCurves(posterior, 200)).toHaveLength(200)
    expect(centralCurves(posterior, 2)).toEqual([0, 1].map((c) => posterior.candidates.curveOf(c)))
  })

  it('are as many as were asked for, where hardly anything is probable', () => {
    const posterior = smallPosterior({
      misfits: [
        [0, 0],
        [0, 0.5],
      ],
    })
    expect(posterior.shares[1]).toBeLessThan(1e-9)
    const draws = centralDraws(posterior, 7)
    expect(draws.map(({ candidate }) => candidate)).toEqual(new Array(7).fill(0))
  })

  it('do not depend on which posterior was drawn from before', () => {
    const few = smallPosterior({ misfits: [[0.01, 0.02]] })
    const many = smallPosterior({ misfits: [[0.01, 0.02, 0.03, 0.04, 0.05, 0.06]] })
    const before = drawFromPosterior(few, 61)
    for (const { coefficients } of drawFromPosterior(many, 61)) expect(coefficients[0]).toBeCloseTo(0.035, 1)
    expect(drawFromPosterior(few, 61)).toEqual(before)
  })

  it('fill the margins evenly: as many above the mean as below it', () => {
    const scales = drawFromPosterior(smallPosterior({ misfits: [[0, 0, 0]] }), 100).map(
      ({ coefficients }) => coefficients[0]!,
    )
    expect(Math.abs(scales.filter((scale) => scale > 0).length - 50)).toBeLessThan(12)
    expect(Math.abs(mean(scales)) / deviation(scales)).toBeLessThan(0.15)
  })
})
