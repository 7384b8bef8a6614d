import { concatenate } from '../../numeric/concatenate.js'
import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { correlationFactor, effectiveSampleSize, type Noise } from '../../numeric/statistics/noise.js'
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

/**
 * Mean power over the whole of a decay or a rise, its opening included. What scatters about the course is noise; the course itself is no
 * error of its mean.
 */
export function measureCourse(stretches: readonly Stretch[], noise: LoadNoise): Estimate {
  const values = concatenate(
    stretches.map(({ part, run: { series } }) =>
      series.powerW.filter((_, i) => i >= part.from && i < part.to && series.weights[i]! > 0),
    ),
  )
  if (values.length === 0) return measureLevel(stretches, noise)
  const value = values.reduce((sum, watts) => sum + watts, 0) / values.length
  const scatterW = noise.scale * Math.sqrt(correlationFactor(noise.autocorrelation) / values.length)
  const half = ESTIMATE_EDGE * Math.hypot(scatterW, edgeError(stretches[0]!, value))
  return { value, low: value - half, high: value + half, level: ESTIMATE_LEVEL }
}

/** Standard error of a mean, W, for when its stage began: what lies before differs from it. */
function edgeError({ edge, startS, endS }: Stretch, meanW: number): number {
  if (edge === null) return 0
  const errorS = (edge.startS.high - edge.startS.low) / (2 * ESTIMATE_EDGE)
  return (Math.abs(edge.fromW - meanW) * errorS) / Math.max(endS - startS, errorS, 1e-9)
}

/** Power of the samples that count, all of them where all were set aside. Not to be written to: it may be the series itself. */
function valuesOf(stretch: Stretch): Float64Array {
  const { series } = stretch.run
  const opensLoad = stretch.edge === null && stretch.runIndex === 0
  const from = opensLoad ? stretch.part.from : settledFrom(stretch)
  const powerW = series.powerW.subarray(from, stretch.part.to)
  const weights = series.weights.subarray(from, stretch.part.to)
  return weights.includes(0) && weights.includes(1) ? powerW.filter((_, i) => weights[i]! > 0) : powerW
}

function meanEstimate(values: Float64Array, noise: LoadNoise): Estimate {
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
