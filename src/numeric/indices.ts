let longest = new Int32Array(0)

/**
 * 0, 1, 2, ... n - 1: the places of values that stay where they are. All callers share one array, so that a long series costs its
 * memory once: not to be written to.
 *
 * @example indices(3) // Int32Array [0, 1, 2]
 */
export function indices(count: number): Int32Array {
  if (longest.length < count) {
    longest = new Int32Array(count)
    for (let i = 0; i < count; i++) longest[i] = i
  }
  return longest.subarray(0, count)
}
