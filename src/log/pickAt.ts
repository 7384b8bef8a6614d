/** Values at these places, in their order. */
export function pickAt(values: ArrayLike<number>, rows: Int32Array): Float64Array {
  const picked = new Float64Array(rows.length)
  for (let i = 0; i < rows.length; i++) picked[i] = values[rows[i]!]!
  return picked
}
