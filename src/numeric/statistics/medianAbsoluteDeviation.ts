import { quantile } from './quantile.js'

/** Standard deviations in a median absolute deviation of normal noise: 1 / Φ⁻¹(3/4), to five digits. */
export const MAD_TO_DEVIATION = 1.4826

/**
 * Standard deviation of noise from the median size of its deviations, which outliers don't move.
 *
 * @param deviations - at least one finite number, with sign or without
 * @source F. R. Hampel (1974), The influence curve and its role in robust estimation, J. Amer. Statist. Assoc. 69, 383-393
 * @example medianAbsoluteDeviation([-1, 1, 2, -50]) // 2.2239
 */
export function medianAbsoluteDeviation(deviations: ArrayLike<number>): number {
  return MAD_TO_DEVIATION * quantile(Float64Array.from(deviations, Math.abs), 0.5)
}
