/**
 * How many of sorted values are no greater than a value, by bisection; of a part of them, with all before it counted.
 *
 * @param sorted - rising
 * @param from - first place of the part that is looked at
 * @param to - place behind its last
 * @example bisectRight(Float64Array.of(1, 2, 2, 5), 2) // 3
 */
export function bisectRight(sorted: Float64Array, value: number, from = 0, to = sorted.length): number {
  let [low, high] = [from, to]
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! <= value) low = middle + 1
    else high = middle
  }
  return low
}
