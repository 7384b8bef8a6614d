/**
 * Evenly spread values, at most so many: what a quantile or a median needs of a series too long to be sorted.
 *
 * One value is taken from each of equal blocks, at a place that goes by the golden ratio from block to block, so that nothing periodic in the
 * series can hide between the places.
 *
 * @param values - any length; returned as they are when there are no more than `most`
 * @param most - at least 1
 * @source golden ratio sequence: H. Niederreiter (1992), Random Number Generation and Quasi-Monte Carlo Methods, chapter 3
 * @example thin(Float64Array.of(1, 2, 3), 5).length // 3
 */
export function thin(values: Float64Array, most: number): Float64Array {
  return values.length <= most ? values : thinnedFrom(values.length, most, (i) => values[i]!)
}

/** As `thin`, of values that are worked out where they are taken; always a new array. */
export function thinnedFrom(length: number, most: number, valueAt: (i: number) => number): Float64Array {
  const size = Math.min(length, most)
  const thinned = new Float64Array(size)
  if (size === length) {
    for (let i = 0; i < length; i++) thinned[i] = valueAt(i)
    return thinned
  }
  const block = length / size
  for (let k = 0, offset = 0.5; k < size; k++) {
    thinned[k] = valueAt(Math.floor((k + offset) * block))
    offset += GOLDEN_RATIO
    if (offset >= 1) offset -= 1
  }
  return thinned
}

const GOLDEN_RATIO = (Math.sqrt(5) - 1) / 2
