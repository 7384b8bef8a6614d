/**
 * Start value minus a sum of products, as if computed in twice the working precision.
 *
 * Every product and every sum is split into its rounded value and its exact rounding error; the errors are added up
 * apart. Plain double precision loses all digits of a residual that is small against its terms; this keeps them.
 *
 * @param start - the value that the products are taken from
 * @param a - factors
 * @param b - as many factors
 * @returns start - Σ a_i b_i
 * @source T. Ogita, S. M. Rump, S. Oishi (2005), Accurate sum and dot product, SIAM J. Sci. Comput. 26, 1955-1988
 * (Dot2); product split: T. J. Dekker (1971), Numerische Mathematik 18, 224-242
 * @example compensatedDifference(0.1, [0.1], [1]) // 0
 */
export function compensatedDifference(start: number, a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = start
  let error = 0
  for (let i = 0; i < a.length; i++) {
    const x = a[i]!
    const y = -b[i]!
    const product = x * y
    const total = sum + product
    const part = total - sum
    error += sum - (total - part) + (product - part) + productError(x, y, product)
    sum = total
  }
  return sum + error
}

/** Exact x y - product; 0 where the split would overflow. */
function productError(x: number, y: number, product: number): number {
  const xHigh = upperHalf(x)
  const yHigh = upperHalf(y)
  const xLow = x - xHigh
  const yLow = y - yHigh
  const error = xLow * yLow - (product - xHigh * yHigh - xLow * yHigh - xHigh * yLow)
  return Number.isFinite(error) ? error : 0
}

/** The upper 26 of 53 bits; the factor is 2^27 + 1 (Dekker 1971). */
function upperHalf(x: number): number {
  const scaled = 134217729 * x
  return scaled - (scaled - x)
}
