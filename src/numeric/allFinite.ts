/** Whether every number is finite, in one pass without a call per number. */
export function allFinite(values: ArrayLike<number>): boolean {
  // 0 times a value that is not finite is NaN, and stays so in a sum; two sums don't wait for each other.
  let even = 0
  let odd = 0
  const last = values.length - 1
  let i = 0
  for (; i < last; i += 2) {
    even += 0 * values[i]!
    odd += 0 * values[i + 1]!
  }
  if (i === last) even += 0 * values[i]!
  return even + odd === 0
}
