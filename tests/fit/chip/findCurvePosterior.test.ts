import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { describe, expect, test } from 'vitest'
import type { CurvePosterior } from '../../../src/fit/chip/curvePosterior.js'
import { type CurveData, findCurvePosterior } from '../../../src/fit/chip/findCurvePosterior.js'
import { gridProfiles } from '../../../src/fit/chip/gridProfiles.js'
import type { CurveFamily } from '../../../src/fit/chip/prior/curvePrior.js'
import { noiseProbabilities, RUN_NOISE } from '../../../src/fit/chip/runNoise.js'
import { scoreBasis } from '../../../src/fit/chip/scoreBasis.js'

const REFERENCE_W = 60
const POWERS_W = [36, 45, 55, 64, 75, 90]
/** Scatter of six runs, made once: nothing in it is as large as an outlier. */
const SCATTER = [0.004, -0.003, 0.002, 0.004, -0.005, -0.001]

/** One elasticity for all powers, between two ends: the first coordinate of the cube. */
function constantElasticity(low: number, high: number, probability = 1): CurveFamily {
  return {
    shape: 'elasticity-course',
    probability,
    curveAt: (point) => {
      const elasticity = low + (high - low) * point[0]!
      return {
        shape: 'elasticity-course',
        scale: 1,
        referenceW: REFERENCE_W,
        topW: null,
        bend: null,
        knotsLn: [-0.5, 0.5],
        elasticities: [elasticity, elasticity],
      }
    },
  }
}

/** Six steady runs of a chip with one elasticity. */
function dataOf(elasticity: number, parts: Partial<CurveData> = {}): CurveData {
  const profiles = POWERS_W.map((powerW) => ({ powersW: [powerW], secondsS: [60], meanW: powerW }))
  return {
    grid: gridProfiles(profiles),
    logRates: POWERS_W.map((powerW, k) => 9 + elasticity * Math.log(powerW / REFERENCE_W) + SCATTER[k]!),
    sheets: POWERS_W.map(() => 0),
    counts: POWERS_W.map(() => 1),
    powerUncertainties: POWERS_W.map(() => 0),
    meansW: POWERS_W,
    referenceW: REFERENCE_W,
    heat: { heatK: POWERS_W.map((_, k) => k - 2), measured: true, referenceC: 78 },
    ...parts,
  }
}

const elasticityOf = ({ candidates }: CurvePosterior, c: number) => {
  const curve = candidates.curveOf(c)
  return curve.shape === 'elasticity-course' ? curve.elasticities[0]! : Number.NaN
}

/** Mean and standard deviation of the elasticity under the posterior. */
function momentsOf(posterior: CurvePosterior) {
  let [total, sum, squares] = [0, 0, 0]
  posterior.shares.forEach((share, c) => {
    const elasticity = elasticityOf(posterior, c)
    total += share
    sum += share * elasticity
    squares += share * elasticity ** 2
  })
  expect(total).toBeCloseTo(1, 9)
  return { mean: sum, deviation: Math.sqrt(squares - sum ** 2) }
}

/**
 * The same by the definition: the density of the six misfits under the covariance that noise and coefficients give them, summed over an even
 * grid of elasticities and the levels of noise.
 */
function byDefinition(data: CurveData, low: number, high: number) {
  const { basis, variances } = scoreBasis({
    ...data,
    spread: Float64Array.from(data.counts, (count) => 1 / count),
    elasticity: 0,
    elasticities: POWERS_W.map(() => 0.6),
  })
  const covariances = RUN_NOISE.deviations.map((sigma) =>
    basis.map((a, k) =>
      basis.map((b, l) => {
        const shared = a.reduce((sum, value, j) => sum + value * variances[j]! * b[j]!, 0)
        return shared + (k === l ? sigma ** 2 / data.counts[k]! : 0)
      }),
    ),
  )
  const factors = covariances.map((rows) => new CholeskyDecomposition(new Matrix(rows)))
  const logDensities = (elasticity: number) => {
    const misfits = POWERS_W.map((w, k) => data.logRates[k]! - elasticity * Math.log(w / REFERENCE_W))
    const mean = misfits.reduce((sum, value) => sum + value, 0) / misfits.length
    const y = Matrix.columnVector(misfits.map((value) => value - mean))
    return factors.map((factor, s) => {
      const lower = factor.lowerTriangularMatrix
      const logRoot = lower.diagonal().reduce((sum, value) => sum + Math.log(value), 0)
      return RUN_NOISE.logWeights[s]! - logRoot - y.dot(factor.solve(y)) / 2
    })
  }
  const grid = Array.from({ length: 801 }, (_, i) => low + ((high - low) * (i + 0.5)) / 801)
  const weights = grid.map((elasticity) => logDensities(elasticity).map((log) => Math.exp(log)))
  const sums = weights.map((levels) => levels.reduce((sum, value) => sum + value, 0))
  const evidence = sums.reduce((sum, value) => sum + value, 0)
  const mean = grid.reduce((sum, e, i) => sum + e * sums[i]!, 0) / evidence
  const square = grid.reduce((sum, e, i) => sum + (e - mean) ** 2 * sums[i]!, 0) / evidence
  const noise = RUN_NOISE.deviations.map(
    (_, s) => weights.reduce((sum, levels) => sum + levels[s]!, 0) / evidence,
  )
  return { mean, deviation: Math.sqrt(square), noise, evidence: evidence / grid.length }
}

describe('the posterior of score curves', () => {
  test('is that of its definition, worked out over an even grid: elasticity and noise', () => {
    const data = dataOf(0.4)
    const posterior = findCurvePosterior(data, [constantElasticity(0.1, 1)])
    const exact = byDefinition(data, 0.1, 1)
    const { mean, deviation } = momentsOf(posterior)
    expect(Math.abs(mean - exact.mean)).toBeLessThan(0.03 * exact.deviation)
    expect(Math.abs(deviation / exact.deviation - 1)).toBeLessThan(0.03)
    const { weights } = noiseProbabilities(posterior)
    for (const [s, weight] of weights.entries())
      expect(Math.abs(weight - exact.noise[s]!)).toBeLessThan(0.003)
  })

  test('is that of its definition where it is a thousandth of the prior, too', () => {
    const sharp = dataOf(0.4, { counts: POWERS_W.map(() => 400) })
    const { mean, deviation } = momentsOf(findCurvePosterior(sharp, [constantElasticity(0, 30)]))
    const exact = byDefinition(sharp, 0.2, 0.6)
    expect(Math.abs(mean - exact.mean)).toBeLessThan(0.1 * exact.deviation)
    expect(Math.abs(deviation / exact.deviation - 1)).toBeLessThan(0.05)
  })

  test('shares between families what each explains, by their probabilities', () => {
    const data = dataOf(0.4)
    const families = [constantElasticity(0.1, 1, 0.9), constantElasticity(0.3, 0.5, 0.1)]
    const posterior = findCurvePosterior(data, families)
    const first = posterior.candidates.families[0]!.count
    const share = posterior.shares.slice(0, first).reduce((sum, value) => sum + value, 0)
    const [wide, narrow] = [byDefinition(data, 0.1, 1), byDefinition(data, 0.3, 0.5)]
    const exact = (0.9 * wide.evidence) / (0.9 * wide.evidence + 0.1 * narrow.evidence)
    expect(Math.abs(share - exact)).toBeLessThan(0.02)
  })

  test('has more candidates where it is, and as many as a family is probable', () => {
    const sharp = dataOf(0.4, { counts: POWERS_W.map(() => 400) })
    const families = [constantElasticity(0, 8, 0.95), constantElasticity(6, 8, 0.05)]
    const { candidates } = findCurvePosterior(sharp, families)
    const [first, second] = candidates.families
    // 1,800 by the probabilities, a tenth at least; then all further ones where the weight is.
    expect(first!.count).toBe(1710 + 2 * 900)
    expect(second!.count).toBe(180)
    expect(candidates.count).toBe(first!.count + second!.count)
    let near = 0
    for (let c = 1710; c < first!.count; c++) {
      const curve = candidates.curveOf(c)
      if (curve.shape === 'elasticity-course' && Math.abs(curve.elasticities[0]! - 0.4) < 0.3) near++
    }
    expect(near).toBeGreaterThan(1400)
  })

  test('keeps of each candidate what it misses of each run, and its mean apart', () => {
    const data = dataOf(0.4)
    const { candidates } = findCurvePosterior(data, [constantElasticity(0.1, 1)])
    for (const c of [0, 17, candidates.count - 1]) {
      const curve = candidates.curveOf(c)
      expect(candidates.curveOf(c)).toBe(curve)
      const elasticity = curve.shape === 'elasticity-course' ? curve.elasticities[0]! : Number.NaN
      POWERS_W.forEach((powerW, k) => {
        const missed = data.logRates[k]! - elasticity * Math.log(powerW / REFERENCE_W)
        expect(candidates.centres[c]! + candidates.misfits[6 * c + k]!).toBeCloseTo(missed, 3)
      })
      const sum = candidates.misfits.subarray(6 * c, 6 * c + 6).reduce((a, b) => a + b, 0)
      expect(sum).toBeCloseTo(0, 12)
    }
  })
})

describe('what is believed of the runs', () => {
  const partOf = (data: CurveData, family = constantElasticity(0.1, 1)) =>
    findCurvePosterior(data, [family]).prepared.part

  test('sets one back that lies 8 % off the curve of the others, and none that is a mean of several', () => {
    // All six twice, so that eleven agree.
    const once = dataOf(0.4)
    const twice = <Value>(values: readonly Value[]) => [...values, ...values]
    const off = dataOf(0.4, {
      grid: gridProfiles(
        twice(POWERS_W).map((powerW) => ({ powersW: [powerW], secondsS: [60], meanW: powerW })),
      ),
      logRates: twice(once.logRates).map((rate, k) => rate - (k === 3 ? 0.08 : 0)),
      sheets: twice(once.sheets),
      counts: twice(once.counts),
      powerUncertainties: twice(once.powerUncertainties),
      meansW: twice(once.meansW),
      heat: { heatK: twice(once.heat.heatK), measured: true, referenceC: 78 },
    })
    const { spread } = partOf(off)
    expect(spread[3]).toBeGreaterThan(20)
    expect(Math.max(...spread.filter((_, k) => k !== 3))).toBeLessThan(2)
    expect([...partOf(dataOf(0.4, { counts: [1, 4, 2, 1, 1, 16] })).spread]).toEqual([
      1,
      1 / 4,
      1 / 2,
      1,
      1,
      1 / 16,
    ])
  })

  test('takes an error of a noted power for what the curve makes of it there, up to an elasticity of 6', () => {
    const noted = POWERS_W.map((_, k) => (k === 2 ? 0.05 : 0))
    const columnOf = (elasticity: number) => {
      const family = constantElasticity(elasticity - 0.02, elasticity + 0.02)
      return partOf(dataOf(elasticity, { powerUncertainties: noted }), family).basis.map((row) => row.at(-1)!)
    }
    expect(columnOf(0.9)[2]).toBeCloseTo(0.05 * 0.9, 3)
    expect(columnOf(8)[2]).toBeCloseTo(0.05 * 6, 9)
    expect(columnOf(0.9).filter((value) => value !== 0)).toHaveLength(1)
  })

  test('lets a steep curve bend in proportion', () => {
    const tilt = (elasticity: number) =>
      partOf(dataOf(elasticity), constantElasticity(elasticity - 0.02, elasticity + 0.02)).variances[1]!
    expect(Math.sqrt(tilt(1.8) / tilt(0.3))).toBeCloseTo(3, 1)
  })
})
