import { medianAbsoluteDeviation } from './medianAbsoluteDeviation.js'
import { mean } from './moments.js'
import { correlationFactor, lagOneCorrelation } from './noise.js'
import { quantile } from './quantile.js'

/** Noise about the levels of a series. */
export interface LongRunNoise {
  /** Standard deviation of a value. */
  readonly scale: number
  /** Variance of what the previous value does not tell: s² (1 - r²), without floor, r the lag-1 correlation as it comes. */
  readonly innovation: number
  /** n times the variance of a mean of n values: s² (1 + p) / (1 - p). */
  readonly variance: number
}

/**
 * Long-run variance of a series about its segments (about its mean when there are none yet).
 *
 * First-order autocorrelation of the residuals counts, corrected for the levels that were fitted.
 *
 * @param robust - outliers don't count: the scale is then the median absolute residual
 * @param cut - segments found before
 */
export function longRunVariance(
  series: Float64Array,
  robust: boolean,
  cut?: { readonly edges: readonly number[]; readonly levels: readonly number[] },
): LongRunNoise {
  const n = series.length
  const levels = cut?.levels ?? [robust ? quantile(series, 0.5) : mean(series)!]
  const residuals = residualsOf(series, cut?.edges ?? [], levels)
  const own = robust ? robustScale(residuals, levels.length) : usualScale(residuals, levels.length)
  const scale = Math.max(roundingNoise(series), own)
  const corrected = lagOneCorrelation(residuals, scale)
  const raw = (corrected - 1 / n) / (1 + 3 / n)
  // Every fitted level takes away as much correlation as the mean of a series does.
  const correlation = corrected + ((1 + 3 * raw) * (levels.length - 1)) / n
  const likeliest = (own * own * Math.max(1, n - levels.length)) / n
  return {
    scale,
    innovation: likeliest * (1 - raw * raw),
    variance: scale * scale * correlationFactor(correlation),
  }
}

/**
 * Least noise that a rounded series can carry: its quantum / √12, the quantum being the smallest step between neighbours that
 * differ. Next to nothing for values with many digits.
 */
export function roundingNoise(series: Float64Array): number {
  let least = Number.POSITIVE_INFINITY
  for (let i = 1; i < series.length; i++) {
    const step = Math.abs(series[i]! - series[i - 1]!)
    if (step > 0 && step < least) least = step
  }
  return least === Number.POSITIVE_INFINITY ? 0 : least / Math.sqrt(12)
}

function residualsOf(
  series: Float64Array,
  edges: readonly number[],
  levels: readonly number[],
): Float64Array {
  const residuals = new Float64Array(series.length)
  for (const [k, end] of [...edges, series.length].entries()) {
    for (let i = edges[k - 1] ?? 0; i < end; i++) residuals[i] = series[i]! - levels[k]!
  }
  return residuals
}

function usualScale(residuals: Float64Array, levelCount: number): number {
  let squares = 0
  for (const residual of residuals) squares += residual * residual
  return Math.sqrt(squares / Math.max(1, residuals.length - levelCount))
}

/**
 * The larger of two scales that outliers don't move much: that of the median absolute residual, and the root mean square of the residuals cut off at three times that, which
 * keeps short series from a median that happens to be small.
 */
function robustScale(residuals: Float64Array, levelCount: number): number {
  const middle = medianAbsoluteDeviation(residuals)
  const clipped = residuals.map((residual) => Math.max(-3 * middle, Math.min(3 * middle, residual)))
  return Math.max(middle, usualScale(clipped, levelCount))
}
