import { ESTIMATE_LEVEL, type Estimate } from '../numeric/estimate.js'
import { ESTIMATE_EDGE } from '../numeric/estimateEdge.js'
import { effectiveSize } from '../numeric/noise.js'
import { studentTQuantile } from '../numeric/studentT.js'
import { leastDifference } from './gridOf.js'
import type { LoadNoise } from './loadNoise.js'
import { roundingBias } from './roundingBias.js'
import { type Stretch, settledFrom } from './stretch.js'

/**
 * Mean power over stretches with its 90 % interval.
 *
 *   mean ± t(0.95, n_eff - 1) s / sqrt(n_eff), n_eff = n (1 - p) / (1 + p)
 *
 * The soft edge that opens a stretch is left out, and so are spikes; how a load opens belongs to its first stage.
 *
 * @source Student (1908), Biometrika 6, 1-25; n_eff: see `effectiveSize`
 */
export function measureLevel(stretches: readonly Stretch[], noise: LoadNoise): Estimate {
  const values = new Float64Array(stretches.reduce((sum, { part }) => sum + part.to - part.from, 0))
  let count = 0
  for (const stretch of stretches) {
    const { series } = stretch.run
    const opensLoad = stretch.edge === null && stretch.runIndex === 0
    for (let i = opensLoad ? stretch.part.from : settledFrom(stretch); i < stretch.part.to; i++) {
      if (series.weights[i]! > 0) values[count++] = series.powerW[i]!
    }
  }
  return meanEstimate(values.subarray(0, count), noise)
}

export function meanEstimate(values: Float64Array, noise: LoadNoise): Estimate {
  if (values.length === 0) return { value: 0, low: 0, high: 0, level: ESTIMATE_LEVEL }
  let [sum, square] = [0, 0]
  for (const value of values) sum += value
  const mean = sum / values.length
  for (const value of values) square += (value - mean) ** 2
  const size = effectiveSize(values.length, noise.autocorrelation)
  // Few samples: their own scatter says little, so the load's noise speaks too.
  const variance = (square + 8 * noise.scale ** 2) / (values.length - 1 + 8)
  const freedom = Math.max(2, size - 1 + 8)
  const half = Math.hypot(
    studentTQuantile((1 + ESTIMATE_LEVEL) / 2, freedom) * Math.sqrt(variance / size),
    ESTIMATE_EDGE *
      roundingBias(noise.gridW ?? leastDifference(values), square / Math.max(1, values.length - 1)),
  )
  return { value: mean, low: mean - half, high: mean + half, level: ESTIMATE_LEVEL }
}
