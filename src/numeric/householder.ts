import { dot } from './dot.js'

/** The triangle R and the projected right side Qᵀ b of a factorisation A = Q R. */
export interface Triangle {
  /** p rows of p numbers, zero below the diagonal. */
  readonly upper: readonly Float64Array[]
  /** First p entries of Qᵀ b. */
  readonly projected: Float64Array
}

/**
 * Reduces a tall least-squares problem to p rows by Householder reflections, without forming Q or AᵀA.
 *
 * @param columns - p columns of n >= p numbers; not changed
 * @param right - n numbers; not changed
 * @source G. H. Golub (1965), Numerical methods for solving linear least squares problems, Numerische Mathematik 7, 206-216
 * @example triangularise([Float64Array.of(3, 4)], Float64Array.of(3, 4)).upper[0] // ±5
 */
export function triangularise(columns: readonly Float64Array[], right: Float64Array): Triangle {
  const work = [...columns.map((column) => column.slice()), right.slice()]
  const size = columns.length
  for (let k = 0; k < size; k++) {
    const reflector = work[k]!
    const length = norm(reflector, k)
    if (length === 0) continue
    const diagonal = reflector[k]! > 0 ? -length : length
    reflector[k]! -= diagonal
    const scale = -diagonal * reflector[k]!
    for (let j = k + 1; j <= size; j++) reflect(work[j]!, reflector, k, scale)
    reflector[k] = diagonal
  }
  const upper = Array.from({ length: size }, (_, i) =>
    Float64Array.from({ length: size }, (_, j) => (j < i ? 0 : work[j]![i]!)),
  )
  return { upper, projected: work[size]!.slice(0, size) }
}

function norm(column: Float64Array, from: number): number {
  const plain = dot(column, column, from)
  // Squares that neither overflow nor vanish are fine as they are.
  if (plain > 1e-280 && plain < 1e280) return Math.sqrt(plain)
  let largest = 0
  for (let i = from; i < column.length; i++) largest = Math.max(largest, Math.abs(column[i]!))
  if (largest === 0) return 0
  let sum = 0
  for (let i = from; i < column.length; i++) sum += (column[i]! / largest) ** 2
  return largest * Math.sqrt(sum)
}

function reflect(target: Float64Array, reflector: Float64Array, from: number, scale: number): void {
  const factor = dot(reflector, target, from) / scale
  for (let i = from; i < target.length; i++) target[i]! -= factor * reflector[i]!
}
