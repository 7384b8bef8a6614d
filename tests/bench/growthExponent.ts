import { linearLeastSquares } from '../../src/numeric/leastSquares/linearLeastSquares.js'

/** Exponent k of time ~ count^k, by a straight line through the logarithms. */
export function growthExponent(
  points: readonly { readonly count: number; readonly ms: number }[],
): number | undefined {
  if (points.length < 2) return undefined
  return linearLeastSquares({
    design: points.map(({ count }) => [1, Math.log(count)]),
    values: points.map(({ ms }) => Math.log(ms)),
  }).parameters[1]
}
