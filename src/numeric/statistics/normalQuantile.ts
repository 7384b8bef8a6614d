import { InputError } from '../../errors.js'

/**
 * The standard normal value that is undercut with the given probability.
 *
 * Rational approximations in three ranges, relative accuracy about 1e-16.
 *
 * @param probability - strictly between 0 and 1
 * @throws InputError `probability-out-of-range`
 * @source M. J. Wichura (1988), Algorithm AS 241: the percentage points of the normal distribution (PPND16),
 * Applied Statistics 37, 477-484
 * @example normalQuantile(0.95) // 1.6448536269514722
 */
export function normalQuantile(probability: number): number {
  if (!(probability > 0 && probability < 1)) {
    throw new InputError(
      'probability-out-of-range',
      `expected a probability strictly between 0 and 1, got ${probability}`,
    )
  }
  const q = probability - 0.5
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q
    return (q * polynomial(CENTRE_TOP, r)) / polynomial(CENTRE_BOTTOM, r)
  }
  const r = Math.sqrt(-Math.log(q < 0 ? probability : 1 - probability))
  const size =
    r <= 5
      ? polynomial(MIDDLE_TOP, r - 1.6) / polynomial(MIDDLE_BOTTOM, r - 1.6)
      : polynomial(TAIL_TOP, r - 5) / polynomial(TAIL_BOTTOM, r - 5)
  return q < 0 ? -size : size
}

/**
 * As `normalQuantile`, of a coordinate of an evenly spread point: a share of 0 or 1, or next to it, is taken as a billionth off.
 *
 * @example normalScore(0) // -5.998
 */
export function normalScore(share: number): number {
  return normalQuantile(Math.min(1 - 1e-9, Math.max(1e-9, share)))
}

/** Coefficients as printed in AS 241, rounded to double precision, constant term first. */
const CENTRE_TOP = [
  3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987,
  67265.7709270087, 33430.57558358813, 2509.0809287301227,
]
const CENTRE_BOTTOM = [
  1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
  28729.085735721943, 5226.495278852854,
]
const MIDDLE_TOP = [
  1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
  0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
]
const MIDDLE_BOTTOM = [
  1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
  0.0005475938084995345, 1.0507500716444169e-9,
]
const TAIL_TOP = [
  6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
  0.0012426609473880784, 2.7115555687434876e-5, 2.0103343992922881e-7,
]
const TAIL_BOTTOM = [
  1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133,
  1.8463183175100548e-5, 1.421511758316446e-7, 2.0442631033899397e-15,
]

function polynomial(coefficients: readonly number[], x: number): number {
  let sum = 0
  for (let i = coefficients.length - 1; i >= 0; i--) sum = sum * x + coefficients[i]!
  return sum
}
