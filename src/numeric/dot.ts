/** Σ a b from an index on. Four sums side by side keep the processor from waiting for each addition before the next. */
export function dot(a: Float64Array, b: Float64Array, from = 0): number {
  const n = a.length
  let first = 0
  let second = 0
  let third = 0
  let fourth = 0
  let i = from
  for (; i + 3 < n; i += 4) {
    first += a[i]! * b[i]!
    second += a[i + 1]! * b[i + 1]!
    third += a[i + 2]! * b[i + 2]!
    fourth += a[i + 3]! * b[i + 3]!
  }
  for (; i < n; i++) first += a[i]! * b[i]!
  return first + second + (third + fourth)
}
