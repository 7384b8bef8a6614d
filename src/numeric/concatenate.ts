/**
 * One series after the other; a single one is itself and no copy: not to be written to.
 *
 * @example concatenate([Float64Array.of(1, 2), Float64Array.of(3)]) // Float64Array [1, 2, 3]
 */
export function concatenate(parts: readonly Float64Array[]): Float64Array {
  if (parts.length === 1) return parts[0]!
  const all = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    all.set(part, at)
    at += part.length
  }
  return all
}
