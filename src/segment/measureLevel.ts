import { ESTIMATE_LEVEL, type Estimate } from '../numeric/estimate.js'
import { ESTIMATE_EDGE } from '../numeric/estimateEdge.js'
import { effectiveSize, type Noise } from '../numeric/noise.js'
import { studentTQuantile } from '../numeric/studentT.js'
import { quantumOf } from './quantumOf.js'
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
export function measureLevel(stretches: readonly Stretch[], noise: Noise): Estimate {
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

export function meanEstimate(values: Float64Array, noise: Noise): Estimate {
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
    ESTIMATE_EDGE * roundingBias(values, square / Math.max(1, values.length - 1)),
  )
  return { value: mean, low: mean - half, high: mean + half, level: ESTIMATE_LEVEL }
}

/**
 * What rounding leaves in a mean, W: without noise to move the samples across steps of q, all of them are off alike. The bias
 * is a sine of the level with the amplitude q/pi exp(-2 pi² s²/q²), s the noise before rounding; this is its root mean square.
 *
 * @source B. Widrow (1956), IRE Transactions on Circuit Theory 3, 266-276
 */
function roundingBias(values: Float64Array, variance: number): number {
  const quantum = quantumOf(values)
  if (!Number.isFinite(quantum)) return 0
  const before = Math.max(0, variance - quantum ** 2 / 12)
  return (quantum / (Math.PI * Math.SQRT2)) * Math.exp((-2 * Math.PI ** 2 * before) / quantum ** 2)
}
