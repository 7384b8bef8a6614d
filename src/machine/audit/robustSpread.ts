import { quantile } from '../../numeric/quantile.js'

/** Median of values, and their median distance from it scaled to a standard deviation (1.4826 for normal noise). */
export function robustSpread(values: readonly number[]): {
  readonly middle: number
  readonly deviation: number
} {
  const middle = quantile(values, 0.5)
  return {
    middle,
    deviation:
      1.4826 *
      quantile(
        values.map((value) => Math.abs(value - middle)),
        0.5,
      ),
  }
}
