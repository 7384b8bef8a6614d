/**
 * Places of values from the least to the greatest; equal values keep their order.
 *
 * A merge sort on typed arrays: a few times as fast as sorting an array of places with a comparison, which short processes
 * interpret call by call.
 *
 * @param values - finite numbers; not changed
 * @returns as many places, each once
 * @source D. E. Knuth (1998), The Art of Computer Programming 3, 5.2.4 (straight two-way merge)
 * @example argsort([30, 10, 20]) // Uint32Array [1, 2, 0]
 */
export function argsort(values: ArrayLike<number>): Uint32Array {
  const count = values.length
  let order = new Uint32Array(count)
  let merged = new Uint32Array(count)
  for (let from = 0; from < count; from += SORTED_BY_INSERTION) {
    insertInOrder(values, order, from, Math.min(count, from + SORTED_BY_INSERTION))
  }
  for (let width = SORTED_BY_INSERTION; width < count; width *= 2) {
    for (let from = 0; from < count; from += 2 * width) {
      const middle = Math.min(count, from + width)
      mergeNeighbours(values, order, merged, [from, middle, Math.min(count, middle + width)])
    }
    ;[order, merged] = [merged, order]
  }
  return order
}

/** Pieces this short are sorted by insertion; any number from 4 to 16 serves as well. */
const SORTED_BY_INSERTION = 8

function insertInOrder(values: ArrayLike<number>, order: Uint32Array, from: number, to: number): void {
  for (let i = from; i < to; i++) {
    const value = values[i]!
    let at = i
    while (at > from && values[order[at - 1]!]! > value) {
      order[at] = order[at - 1]!
      at--
    }
    order[at] = i
  }
}

function mergeNeighbours(
  values: ArrayLike<number>,
  order: Uint32Array,
  merged: Uint32Array,
  [from, middle, to]: readonly [number, number, number],
): void {
  let left = from
  let right = middle
  for (let at = from; at < to; at++) {
    const takesLeft = right >= to || (left < middle && values[order[left]!]! <= values[order[right]!]!)
    merged[at] = takesLeft ? order[left++]! : order[right++]!
  }
}
