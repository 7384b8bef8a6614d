import { correlationFactor, estimateNoise, lagOneCorrelation } from './noise.js'
import { quantile } from './quantile.js'

/** Noise about the levels of a series. */
export interface LongRunNoise {
  /** Standard deviation of a value. */
  readonly scale: number
  /** n times the variance of a mean of n values: s² (1 + p) / (1 - p). */
  readonly variance: number
}

/**
 * What an edge must gain so that pure noise of n values shows one in fewer than 1 % of cases:
 *
 *   variance × (n - 1) g / (n - 2 + g),  g = 9 + ln n
 *
 * A rectangle of noise has about n places to start, and pays for two edges, hence ln n for each; 9 covers the lengths it can have
 * and the level of 1 %. The fraction turns the bound for a known variance into the one for a variance estimated from n values
 * that the edge itself would lower (F against its maximum (n - 2 + F)). Measured false-change rates stand in DEVELOPERS.md.
 *
 * @param variance - long-run variance of the noise, s² (1 + p) / (1 - p)
 * @source form: the modified Bayes information criterion, N. R. Zhang, D. O. Siegmund (2007), Biometrics 63, 22-32; the
 * constant is ours, from simulated noise
 */
export function changePenalty(count: number, variance: number): number {
  const gain = 9 + Math.log(count)
  return variance * (count > 1 ? ((count - 1) * gain) / (count - 2 + gain) : gain)
}

/**
 * Long-run variance of a series about its segments (about its mean when there are none yet).
 *
 * First-order autocorrelation of the residuals counts, corrected for the levels that were fitted. Without segments, steps would
 * count as noise; so the result is never more than a generous multiple of what second differences, which steps don't
 * disturb, say.
 *
 * @param robust - outliers don't count: the scale is then the median absolute residual
 * @param cut - segments found before
 */
export function longRunVariance(
  series: Float64Array,
  robust: boolean,
  cut?: { readonly edges: readonly number[]; readonly levels: readonly number[] },
): LongRunNoise {
  const levels = cut?.levels ?? [robust ? quantile(series, 0.5) : average(series)]
  const residuals = residualsOf(series, cut?.edges ?? [], levels)
  const floor = leastStep(series) / Math.sqrt(12)
  const scale = Math.max(
    floor,
    robust ? robustScale(residuals, levels.length) : usualScale(residuals, levels.length),
  )
  const raw = lagOneCorrelation(residuals, scale)
  // Every fitted level takes away as much correlation as the mean of a series does.
  const correlation = raw + ((1 + 3 * raw) * (levels.length - 1)) / series.length
  const about = { scale, variance: scale * scale * correlationFactor(correlation) }
  return cut ? about : notAbove(about, series, floor)
}

/** Second differences are immune to steps but rough; four times their standard error never cuts true noise short. */
function notAbove(about: LongRunNoise, series: Float64Array, floor: number): LongRunNoise {
  const rough = estimateNoise(series, floor)
  const limit =
    rough.scale ** 2 * correlationFactor(rough.autocorrelation) * (1 + ROUGHNESS / Math.sqrt(series.length))
  return about.variance <= limit ? about : { scale: Math.min(about.scale, rough.scale), variance: limit }
}

/**
 * In 1,000 series of autoregressive noise (correlation 0.6) of 100 and of 1,000 values, the long-run variance from second
 * differences is too small by a factor of 7 and of 2.1 in the worst 0.5 %: 1 + 60 / sqrt(n) covers both.
 */
const ROUGHNESS = 60

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
 * The larger of two scales that outliers don't move much: 1.4826 times the median absolute residual (the standard deviation of
 * a normal distribution; Hampel 1974), and the root mean square of the residuals cut off at three times that, which
 * keeps short series from a median that happens to be small.
 */
function robustScale(residuals: Float64Array, levelCount: number): number {
  const middle = 1.4826 * quantile(residuals.map(Math.abs), 0.5)
  const clipped = residuals.map((residual) => Math.max(-3 * middle, Math.min(3 * middle, residual)))
  return Math.max(middle, usualScale(clipped, levelCount))
}

/** The smallest step between neighbours that differ: the quantum of a rounded series, and next to nothing otherwise. */
function leastStep(series: Float64Array): number {
  let least = Number.POSITIVE_INFINITY
  for (let i = 1; i < series.length; i++) {
    const step = Math.abs(series[i]! - series[i - 1]!)
    if (step > 0 && step < least) least = step
  }
  return least === Number.POSITIVE_INFINITY ? 0 : least
}

function average(series: Float64Array): number {
  let sum = 0
  for (const value of series) sum += value
  return sum / series.length
}
