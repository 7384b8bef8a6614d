/**
 * Integrated autocorrelation time of a series, in samples: 1 + 2 Σ ρ(k). The variance of a mean of n samples is that of one
 * times this over n; 1 for independent samples, (1 + p) / (1 - p) for a first-order autoregression.
 *
 * The sum runs as long as pairs of neighbouring autocovariances stay positive, which keeps the noise of far lags out.
 *
 * @param values - residuals about a fitted course: their mean is taken as 0
 * @returns at least 1; at most half of the series, where the correlation never ends
 * @source initial positive sequence: C. J. Geyer (1992), Practical Markov chain Monte Carlo, Statist. Sci. 7, 473-483
 * @example correlationTime([1, -1, 1, -1, 1, -1, 1, -1]) // 1
 */
export function correlationTime(values: ArrayLike<number>): number {
  const n = values.length
  const most = Math.max(1, Math.floor(n / 2))
  const variance = autocovariance(values, 0)
  if (n < 4 || !(variance > 0)) return 1
  let sum = 0
  for (let k = 1; k + 1 < most; k += 2) {
    const pair = autocovariance(values, k) + autocovariance(values, k + 1)
    if (!(pair > 0)) break
    sum += pair
  }
  // The first pair holds lag 0, which counts once: γ(0) + γ(1) is taken as positive, and γ(1) joins the pairs above.
  return Math.min(most, Math.max(1, 1 + (2 * sum) / variance))
}

function autocovariance(values: ArrayLike<number>, lag: number): number {
  let sum = 0
  for (let i = lag; i < values.length; i++) sum += values[i]! * values[i - lag]!
  return sum / values.length
}
