import { describe, expect, it } from 'vitest'
import { drawCoefficients, preparePart } from '../../../src/fit/chip/linearPart.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** JCGM 100:2008, H.3, table H.6: thermometer readings and corrections, degrees C. */
const READING = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
const CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16]
/** Published: intercept and slope at 20 degrees C, residual deviation, and the correction foretold at 30 degrees C. */
const PUBLISHED = { intercept: -0.1712, slope: 0.00218, deviation: 0.0035, at30: -0.1494, u30: 0.0041 }

describe('drawCoefficients on the published straight line (JCGM 100:2008, H.3)', () => {
  const basis = READING.map((t) => Float64Array.of(1, t - 20))
  const part = { basis, variances: Float64Array.of(100, 100), spread: new Float64Array(11).fill(1) }
  const prepared = preparePart(part, { deviations: [PUBLISHED.deviation], logWeights: [0] })
  const misfit = Float64Array.from(CORRECTION)

  it('has the least-squares line as its mean when the prior is flat', () => {
    const mean = drawCoefficients(prepared, misfit, PUBLISHED.deviation, new Float64Array(13))
    expect(mean[0]).toBeCloseTo(PUBLISHED.intercept, 4)
    expect(mean[1]).toBeCloseTo(PUBLISHED.slope, 5)
    expect(mean[0]! + 10 * mean[1]!).toBeCloseTo(PUBLISHED.at30, 4)
  })

  it('extrapolates to 30 degrees C with the published uncertainty', () => {
    const random = seededRandom(3)
    const values = Array.from({ length: 4000 }, () => {
      const drawn = drawCoefficients(
        prepared,
        misfit,
        PUBLISHED.deviation,
        Float64Array.from({ length: 13 }, random.normal),
      )
      return drawn[0]! + 10 * drawn[1]!
    })
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length
    const deviation = Math.sqrt(
      values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1),
    )
    expect(mean).toBeCloseTo(PUBLISHED.at30, 3)
    expect(Math.abs(deviation / PUBLISHED.u30 - 1)).toBeLessThan(0.04)
  })
})
