/**
 * Natural logarithm of the gamma function for x > 0.
 *
 * Stirling's series after shifting x to at least 12 by the recurrence; absolute error below 1e-14 near 1, relative above.
 *
 * @source DLMF 5.11.1 and 5.5.1
 * @example logGamma(5) // ln 24 = 3.1780538303479458
 */
export function logGamma(x: number): number {
  let shifted = x
  let product = 1
  while (shifted < 12) {
    product *= shifted
    shifted += 1
  }
  const inverse = 1 / shifted
  const square = inverse * inverse
  const series = inverse * STIRLING.reduceRight((sum, coefficient) => sum * square + coefficient, 0)
  return (
    (shifted - 0.5) * Math.log(shifted) - shifted + 0.5 * Math.log(2 * Math.PI) + series - Math.log(product)
  )
}

/** B(2k) / (2k (2k - 1)), k = 1 to 6: the Bernoulli numbers of DLMF 5.11.1. */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360]
