import { dot } from '../dot.js'

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
 * Time goes by passes over columns, so each is gone over once a reflection: while a column is reflected, its product with the
 * next reflection's column is added up.
 *
 * @param columns - p columns of n >= p numbers; not changed
 * @param right - n numbers; not changed
 * @param work - p columns of n numbers that are overwritten, so that problem after problem can use the same
 * @source G. H. Golub (1965), Numerical methods for solving linear least squares problems, Numerische Mathematik 7, 206-216
 * @example householderQr([Float64Array.of(3, 4)], Float64Array.of(3, 4)).upper[0] // ±5
 */
export function householderQr(
  columns: readonly Float64Array[],
  right: Float64Array,
  work: readonly Float64Array[] = columns.map(() => new Float64Array(right.length)),
): Triangle {
  const size = columns.length
  const upper = columns.map(() => new Float64Array(size))
  const projected = new Float64Array(size)
  const put = (i: number, j: number, value: number): void => {
    if (j < size) upper[i]![j] = value
    else projected[i] = value
  }
  // What is left of the columns and the right side, and the products of the first of them with all.
  let left: readonly Float64Array[] = [...columns, right]
  let products = left.map((column) => dot(left[0]!, column))
  for (let k = 0; k < size; k++) {
    const reflector = left[k]!
    const length = Math.sqrt(products[k]!)
    const diagonal = reflector[k]! > 0 ? -length : length
    // The reflection's vector is the column with this in row k.
    const head = reflector[k]! - diagonal
    put(k, k, diagonal)
    const factors = left.map((column, j) =>
      j <= k || length === 0 ? 0 : (products[j]! - diagonal * column[k]!) / (-diagonal * head),
    )
    for (let j = k + 1; j <= size; j++) put(k, j, left[j]![k]! - factors[j]! * head)
    if (k + 1 === size) break
    const reflected = left.map((column, j) => (j <= k ? column : work[j - 1]!))
    const next = reflected[k + 1]!
    products = left.map((column, j) =>
      j <= k
        ? 0
        : reflect(column, { reflector, factor: factors[j]!, from: k + 1, into: reflected[j]!, next }),
    )
    left = reflected
  }
  return { upper, projected }
}

/** into = column - factor × reflector from a row on; returns Σ into × next over those rows. */
function reflect(
  column: Float64Array,
  how: {
    readonly reflector: Float64Array
    readonly factor: number
    readonly from: number
    readonly into: Float64Array
    readonly next: Float64Array
  },
): number {
  const { reflector, factor, from, into, next } = how
  const n = column.length
  let even = 0
  let odd = 0
  let i = from
  for (; i + 1 < n; i += 2) {
    const first = column[i]! - factor * reflector[i]!
    const second = column[i + 1]! - factor * reflector[i + 1]!
    into[i] = first
    into[i + 1] = second
    even += first * next[i]!
    odd += second * next[i + 1]!
  }
  if (i < n) {
    into[i] = column[i]! - factor * reflector[i]!
    even += into[i]! * next[i]!
  }
  return even + odd
}
