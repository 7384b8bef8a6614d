import { describe, expect, it } from 'vitest'
import {
  drawCoefficients,
  isSamePart,
  type LinearPart,
  logLikelihoods,
  preparePart,
} from '../../../src/fit/chip/linearPart.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** JCGM 100:2008, H.3, table H.6: thermometer readings and corrections, degrees C. */
const READING = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
const CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16]
/** Published: intercept and slope at 20 degrees C, residual deviation, and the correction foretold at 30 degrees C. */
const PUBLISHED = { intercept: -0.1712, slope: 0.00218, deviation: 0.0035, at30: -0.1494, u30: 0.0041 }

describe('drawCoefficients on the published straight line (JCGM 100:2008, H.3)', () => {
  const basis = READING.map((t) => Float64Array.of(1, t - 20))
  const part = { basis, variances: Float64Array.of(100, 100), spread: new Float64Array(11).fill(1) }
  const prepare = () => preparePart(part, { deviations: [PUBLISHED.deviation], logWeights: [0] })
  const misfit = Float64Array.from(CORRECTION)

  it('has the least-squares line as its mean when the prior is flat', () => {
    const mean = drawCoefficients(prepare(), misfit, PUBLISHED.deviation, new Float64Array(13))
    expect(mean[0]).toBeCloseTo(PUBLISHED.intercept, 4)
    expect(mean[1]).toBeCloseTo(PUBLISHED.slope, 5)
    expect(mean[0]! + 10 * mean[1]!).toBeCloseTo(PUBLISHED.at30, 4)
  })

  it('extrapolates to 30 degrees C with the published uncertainty', () => {
    const random = seededRandom(3)
    const prepared = prepare()
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

/** Solves A x = b, and ln det A, by elimination with pivots: what the eigenvectors are held against. */
function solve(
  matrix: readonly (readonly number[])[],
  vector: ArrayLike<number>,
): { x: number[]; logDet: number } {
  const rows = matrix.map((row, i) => [...row, vector[i]!])
  let logDet = 0
  for (let c = 0; c < rows.length; c++) {
    const pivot = rows
      .slice(c)
      .reduce((best, row, k) => (Math.abs(row[c]!) > Math.abs(rows[best]![c]!) ? c + k : best), c)
    ;[rows[c], rows[pivot]] = [rows[pivot]!, rows[c]!]
    logDet += Math.log(Math.abs(rows[c]![c]!))
    for (let r = c + 1; r < rows.length; r++) {
      const factor = rows[r]![c]! / rows[c]![c]!
      for (let k = c; k <= rows.length; k++) rows[r]![k]! -= factor * rows[c]![k]!
    }
  }
  const x = new Array<number>(rows.length).fill(0)
  for (let r = rows.length - 1; r >= 0; r--) {
    let sum = rows[r]![rows.length]!
    for (let k = r + 1; k < rows.length; k++) sum -= rows[r]![k]! * x[k]!
    x[r] = sum / rows[r]![r]!
  }
  return { x, logDet }
}

/** sigma² D + B S B'. */
function covariance({ basis, variances, spread }: LinearPart, sigma: number): number[][] {
  return basis.map((a, i) =>
    basis.map((b, k) => {
      const moved = variances.reduce((sum, variance, j) => sum + a[j]! * variance * b[j]!, 0)
      return moved + (i === k ? sigma ** 2 * spread[i]! : 0)
    }),
  )
}

const part = (
  basis: readonly (readonly number[])[],
  variances: readonly number[],
  spread: readonly number[],
) => ({
  basis: basis.map((row) => Float64Array.from(row)),
  variances: Float64Array.from(variances),
  spread: Float64Array.from(spread),
})
const MORE_RUNS = part(
  [
    [1, 0.2],
    [1, -0.3],
    [1, 0.5],
    [1, 0],
  ],
  [0.04, 0.01],
  [1, 2, 1, 1.5],
)
const MORE_COEFFICIENTS = part(
  [
    [1, 0.2, 0, 3],
    [1, -0.3, 0, -1],
  ],
  [0.04, 0.01, 1, 0.0004],
  [1, 2.5],
)
const noise = { deviations: [0.01, 0.05, 0.2], logWeights: [-0.5, 0, -1] }

describe.each([
  ['more runs than coefficients', MORE_RUNS],
  ['more coefficients than runs, one of which moves nothing', MORE_COEFFICIENTS],
])('a linear part with %s', (_, linear) => {
  const runs = linear.basis.length
  const misfits = [0.1, -0.05, 0.2, 0.03, -0.12, 0.3, 0.01, -0.2]
  const candidates = Float64Array.from(misfits.slice(0, 2 * runs))

  it('has the likelihood of the normal distribution with that covariance, but for one constant', () => {
    const out = new Float64Array(2 * noise.deviations.length)
    logLikelihoods(preparePart(linear, noise), candidates, out)
    const constant = linear.spread.reduce((sum, value) => sum + Math.log(value), 0) / 2
    for (const c of [0, 1]) {
      const misfit = candidates.subarray(c * runs, (c + 1) * runs)
      noise.deviations.forEach((sigma, s) => {
        const { x, logDet } = solve(covariance(linear, sigma), misfit)
        const square = x.reduce((sum, value, k) => sum + value * misfit[k]!, 0)
        const direct = noise.logWeights[s]! - (logDet + square) / 2
        expect(out[c * noise.deviations.length + s]! - constant).toBeCloseTo(direct, 7)
      })
    }
  })

  it('leaves candidates alone that are done', () => {
    const out = new Float64Array(2 * noise.deviations.length).fill(7)
    logLikelihoods(preparePart(linear, noise), candidates, out, 1)
    const whole = new Float64Array(2 * noise.deviations.length)
    logLikelihoods(preparePart(linear, noise), candidates, whole)
    expect(Array.from(out.subarray(0, 3))).toEqual([7, 7, 7])
    expect(out.subarray(3)).toEqual(whole.subarray(3))
  })

  it('has draws that a prior draw becomes by what it fails to explain', () => {
    const normals = [0.7, -1.2, 0.4, 1.1, -0.6, 0.9, 0.2, -0.3, 1.4, -0.8].slice(
      0,
      linear.variances.length + runs,
    )
    const sigma = 0.05
    const misfit = candidates.subarray(0, runs)
    const drawn = drawCoefficients(preparePart(linear, noise), misfit, sigma, normals)
    const prior = linear.variances.map((variance, j) => Math.sqrt(variance) * normals[j]!)
    const left = misfit.map((value, k) => {
      const explained = linear.basis[k]!.reduce((sum, effect, j) => sum + effect * prior[j]!, 0)
      return value - explained - sigma * Math.sqrt(linear.spread[k]!) * normals[linear.variances.length + k]!
    })
    const { x } = solve(covariance(linear, sigma), left)
    const wanted = prior.map(
      (value, j) =>
        value + linear.variances[j]! * linear.basis.reduce((sum, row, k) => sum + row[j]! * x[k]!, 0),
    )
    drawn.forEach((value, j) => {
      expect(value).toBeCloseTo(wanted[j]!, 9)
    })
  })
})

describe('two linear parts', () => {
  const part = (): LinearPart => ({
    basis: [Float64Array.of(1, 2), Float64Array.of(1, -2)],
    variances: Float64Array.of(3, 4),
    spread: Float64Array.of(1, 1),
  })

  it('are the same until one figure of basis, variances or spread differs', () => {
    expect(isSamePart(part(), part())).toBe(true)
    const moved = [part(), part(), part()]
    moved[0]!.basis[1]![1] = -2.000001
    moved[1]!.variances[0] = 3.1
    moved[2]!.spread[1] = 1.2
    for (const other of moved) expect(isSamePart(part(), other)).toBe(false)
  })
})
