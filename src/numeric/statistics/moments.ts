/**
 * Arithmetic mean, corrected by the mean of what is left: the correction takes away most of the rounding of the first sum.
 *
 * @returns undefined for no values
 * @source two-pass algorithm: T. F. Chan, G. H. Golub, R. J. LeVeque (1983), American Statistician 37, 242-247
 * @example mean([1, 2, 6]) // 3
 */
export function mean(values: ArrayLike<number>): number | undefined {
  const n = values.length
  if (n === 0) return undefined
  let sum = 0
  for (let i = 0; i < n; i++) sum += values[i]!
  const first = sum / n
  let rest = 0
  for (let i = 0; i < n; i++) rest += values[i]! - first
  return first + rest / n
}

/**
 * Standard deviation of a sample, with denominator n - 1; deviations are taken from the mean before they are squared.
 *
 * @returns undefined for fewer than two values
 * @source as `mean`
 * @example standardDeviation([1, 2, 3]) // 1
 */
export function standardDeviation(values: ArrayLike<number>): number | undefined {
  const n = values.length
  const centre = mean(values)
  if (n < 2 || centre === undefined) return undefined
  let squares = 0
  for (let i = 0; i < n; i++) squares += (values[i]! - centre) ** 2
  return Math.sqrt(squares / (n - 1))
}

/**
 * Autocorrelation of equally spaced values at a lag:
 *
 *   r = Σ (y_i - m)(y_(i+lag) - m) / Σ (y_i - m)²,  m the mean of all values
 *
 * @returns undefined when all values are equal or there are not more values than the lag
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12 Autocorrelation
 * @example autocorrelation([1, -1, 1, -1], 1) // -0.75
 */
export function autocorrelation(values: ArrayLike<number>, lag: number): number | undefined {
  const centre = mean(values)
  if (centre === undefined || values.length <= lag) return undefined
  let products = 0
  let squares = 0
  for (let i = 0; i < values.length; i++) {
    const deviation = values[i]! - centre
    squares += deviation * deviation
    if (i + lag < values.length) products += deviation * (values[i + lag]! - centre)
  }
  return squares > 0 ? products / squares : undefined
}
