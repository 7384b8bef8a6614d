/**
 * How many of sorted values are no greater than a value, by bisection.
 *
 * @param sorted - rising
 * @example countUpTo(Float64Array.of(1, 2, 2, 5), 2) // 3
 */
export function countUpTo(sorted: Float64Array, value: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! <= value) low = middle + 1
    else high = middle
  }
  return low
}
