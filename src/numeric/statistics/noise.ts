import { MAD_TO_DEVIATION } from './medianAbsoluteDeviation.js'
import { quantiles } from './quantile.js'

export interface Noise {
  /** Standard deviation of a sample about the smooth course of the series, in the unit of the values. */
  readonly scale: number
  /** Correlation of neighbouring samples' noise, 0 to 0.95; negative estimates count as 0. */
  readonly autocorrelation: number
}

export interface DifferenceNoise extends Noise {
  /** The scale if neighbours were independent: a lower bound under positive correlation. */
  readonly whiteScale: number
}

/**
 * Noise of a series that may also hold steps, slopes and outliers, from its second differences.
 *
 * Second differences of noise with standard deviation s and neighbour correlation p (first-order autoregression) have the
 * variance s² (6 - 8 p + 2 p²), whatever the slope beneath; those at twice the distance tell p. The variance is taken from the
 * median absolute difference, so that a few steps and spikes don't count; of a coarsely quantised series, whose median difference
 * may be zero, the trimmed mean square speaks instead.
 *
 * @param values - finite, evenly or nearly evenly sampled; fewer than 5 give the floor
 * @param floor - least scale that the values can carry: quantum / sqrt(12), say
 * @source median absolute deviation: F. R. Hampel (1974), J. Amer. Statist. Assoc. 69, 383-393
 * @example estimateNoise([1, 2, 1, 2, 1, 2], 0).scale
 */
export function estimateNoise(values: ArrayLike<number>, floor: number): DifferenceNoise {
  if (values.length < 5) return { scale: floor, autocorrelation: 0, whiteScale: floor }
  const near = secondDifferenceSpread(values, 1) ** 2
  const far = secondDifferenceSpread(values, 2) ** 2
  // far / near = (6 - 8 p² + 2 p⁴) / (6 - 8 p + 2 p²) = (3 - p²)(1 + p) / (3 - p), which rises with p.
  const ratio = near > 0 ? far / near : 1
  let low = 0
  let high = 0.95
  for (let i = 0; i < 40; i++) {
    const p = 0.5 * (low + high)
    if (((3 - p * p) * (1 + p)) / (3 - p) < ratio) low = p
    else high = p
  }
  const p = 0.5 * (low + high)
  return {
    scale: Math.max(Math.sqrt(near / (6 - 8 * p + 2 * p * p)), floor),
    autocorrelation: p,
    whiteScale: Math.max(Math.sqrt(near / 6), floor),
  }
}

/**
 * Lag-1 autocorrelation of residuals, each pair clipped at four standard deviations so that spikes don't count.
 *
 *   p = sum r_i r_(i-1) / sum r_i², raised by (1 + 3 p) / n for the bias of short series
 *
 * @source bias: M. G. Kendall (1954), Biometrika 41, 403-404
 */
export function lagOneCorrelation(residuals: ArrayLike<number>, scale: number): number {
  const n = residuals.length
  if (n < 4 || !(scale > 0)) return 0
  let cross = 0
  let square = 0
  let previous = 0
  for (let i = 0; i < n; i++) {
    const value = Math.max(-4 * scale, Math.min(4 * scale, residuals[i]!))
    cross += value * previous
    square += value * value
    previous = value
  }
  if (square === 0) return 0
  const raw = cross / square
  return Math.min(0.95, Math.max(-0.5, raw + (1 + 3 * raw) / n))
}

/**
 * How many independent samples n correlated ones are worth, for a mean.
 *
 *   n (1 - p) / (1 + p), at least 1
 *
 * @source G. V. Bayley, J. M. Hammersley (1946), J. R. Statist. Soc. Suppl. 8, 184-197
 * @example effectiveSampleSize(100, 0.5) // 33.3
 */
export function effectiveSampleSize(count: number, autocorrelation: number): number {
  return Math.max(1, count / correlationFactor(autocorrelation))
}

/** (1 + p) / (1 - p): by how much correlation widens the variance of a mean; never below 1. */
export function correlationFactor(autocorrelation: number): number {
  const bounded = Math.max(0, Math.min(0.95, autocorrelation))
  return (1 + bounded) / (1 - bounded)
}

/** So many differences tell a scale to 0.3 %; more would only be sorted for longer. */
const MOST_DIFFERENCES = 100_000

function secondDifferenceSpread(values: ArrayLike<number>, lag: number): number {
  const pairs = values.length - 2 * lag
  const step = Math.max(1, Math.floor(pairs / MOST_DIFFERENCES))
  const sizes = new Float64Array(Math.floor((pairs - 1) / step) + 1)
  for (let k = 0; k < sizes.length; k++) {
    const i = k * step
    sizes[k] = Math.abs(values[i]! - 2 * values[i + lag]! + values[i + 2 * lag]!)
  }
  const [median, limit] = quantiles(sizes, [0.5, 0.9]) as [number, number]
  const fromMedian = MAD_TO_DEVIATION * median
  let sum = 0
  let count = 0
  for (const size of sizes) {
    if (size > limit) continue
    sum += size * size
    count++
  }
  // The mean square of a normal distribution below its 90 % point of the absolute value is 0.6230 of the variance.
  const fromTrimmed = Math.sqrt(sum / count / 0.623)
  return fromMedian > 0.3 * fromTrimmed && fromMedian < 3 * fromTrimmed
    ? Math.sqrt(fromMedian * fromTrimmed)
    : fromTrimmed
}
