/** Median of a sample and its neighbours; the first and last stand for themselves. */
export function medianOfThree(values: Float64Array, i: number): number {
  const value = values[i]!
  if (i === 0 || i === values.length - 1) return value
  const before = values[i - 1]!
  const after = values[i + 1]!
  return Math.max(Math.min(before, value), Math.min(Math.max(before, value), after))
}
