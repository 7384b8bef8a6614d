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
 * @example householderQr([Float64Array.of(3, 4)], Float64Array.of(3, 4)).upper[0] // ±5
 */
export function householderQr(columns: readonly Float64Array[], right: Float64Array): Triangle {
  const size = columns.length
  const work = [...columns, right].map((column) => column.slice())
  for (let k = 0; k < size; k++) reflect(work, k)
  return {
    upper: columns.map((_, i) => Float64Array.from(columns, (_, j) => (j < i ? 0 : work[j]![i]!))),
    projected: work[size]!.slice(0, size),
  }
}

/** Reflects the columns from `k` on so that column `k` is zero below its row `k`. */
function reflect(columns: readonly Float64Array[], k: number): void {
  const reflector = columns[k]!
  const length = Math.sqrt(productFrom(k, reflector, reflector))
  if (length === 0) return
  const diagonal = reflector[k]! > 0 ? -length : length
  // The reflection's vector is the column with this in row k.
  reflector[k]! -= diagonal
  const halfSquare = -diagonal * reflector[k]!
  for (const column of columns.slice(k + 1)) {
    const factor = productFrom(k, column, reflector) / halfSquare
    for (let i = k; i < column.length; i++) column[i]! -= factor * reflector[i]!
  }
  reflector[k] = diagonal
}

/** Σ a b over the rows from `k` on. */
function productFrom(k: number, a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = k; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
