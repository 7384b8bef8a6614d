import { concatenate } from '../../numeric/concatenate.js'
import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { effectiveSampleSize, type Noise } from '../../numeric/statistics/noise.js'
import { studentTQuantile } from '../../numeric/statistics/studentT.js'
import { type Stretch, settledFrom } from '../cut/stretch.js'
import { leastDifference, roundingBias } from './quantization.js'

/**
 * Mean power over stretches with its 90 % interval.
 *
 *   mean ± t(0.95, n_eff - 1) s / sqrt(n_eff), n_eff = n (1 - p) / (1 + p)
 *
 * The soft edge that opens a stretch is left out, and so are spikes; how a load opens belongs to its first stage.
 *
 * @source Student (1908), Biometrika 6, 1-25; n_eff: see `effectiveSampleSize`
 */
export function measureLevel(stretches: readonly Stretch[], noise: LoadNoise): Estimate {
  return meanEstimate(concatenate(stretches.map(valuesOf)), noise)
}

/** Power of the samples that count: those of the series themselves where that is all of them, not to be written to. */
function valuesOf(stretch: Stretch): Float64Array {
  const { series } = stretch.run
  const opensLoad = stretch.edge === null && stretch.runIndex === 0
  const from = opensLoad ? stretch.part.from : settledFrom(stretch)
  const powerW = series.powerW.subarray(from, stretch.part.to)
  const weights = series.weights.subarray(from, stretch.part.to)
  return weights.includes(0) ? powerW.filter((_, i) => weights[i]! > 0) : powerW
}

function meanEstimate(values: Float64Array, noise: LoadNoise): Estimate {
  if (values.length === 0) return { value: 0, low: 0, high: 0, level: ESTIMATE_LEVEL }
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  const mean = sum / values.length
  let square = 0
  for (let i = 0; i < values.length; i++) square += (values[i]! - mean) ** 2
  const size = effectiveSampleSize(values.length, noise.autocorrelation)
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

/** Noise of a load's samples, and the step of the grid that its logger rounded them to. */
export interface LoadNoise extends Noise {
  /** W; undefined when no grid is seen. */
  readonly gridW: number | undefined
}
