import { InputError } from '../../errors.js'

/**
 * The mean that turns a logarithmic difference into a plain one: L(a, b) = (a - b) / (ln a - ln b), L(a, a) = a.
 *
 * A change from `b` to `a` whose logarithm is a sum of parts is divided into parts of its own unit by multiplying each with
 * L(a, b); they add up to a - b exactly.
 *
 * @param a - > 0
 * @param b - > 0
 * @throws InputError `values-not-positive`
 * @source B. W. Ang (2005), The LMDI approach to decomposition analysis, Energy Policy 33, 867-871
 * @example logarithmicMean(180, 80) // 123.3
 */
export function logarithmicMean(a: number, b: number): number {
  if (!(a > 0 && b > 0)) {
    throw new InputError('values-not-positive', `expected two values above 0, got ${a} and ${b}`)
  }
  const log = Math.log(a / b)
  // Near a = b the quotient loses digits; the series a - a log / 2 + a log² / 6 is exact to rounding there.
  if (Math.abs(log) < 1e-5) return a * (1 - log / 2 + (log * log) / 6)
  return (a - b) / log
}
