/** Whether every number is finite, in one pass without a call per number. */
export function allFinite(values: ArrayLike<number>): boolean {
  // 0 times a value that is not finite is NaN, and stays so in a sum.
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += 0 * values[i]!
  return sum === 0
}
