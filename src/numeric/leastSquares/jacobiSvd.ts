import { dot } from '../dot.js'

/** A = U Σ Vᵀ, the singular values in no particular order. */
export interface SingularValues {
  readonly values: Float64Array
  /** Columns of U; zeros where the singular value is 0. */
  readonly left: readonly Float64Array[]
  /** Columns of V. */
  readonly right: readonly Float64Array[]
}

/**
 * Singular values and vectors of a small matrix, by rotating its columns pair by pair until all are orthogonal. Small singular
 * values keep their digits, which methods that first reduce the matrix to two diagonals lose beside large ones.
 *
 * @param columns - p columns of as many numbers, or more, or fewer; not changed
 * @source M. R. Hestenes (1958), Inversion of matrices by biorthogonalization, J. SIAM 6, 51-90; accuracy: J. Demmel,
 * K. Veselic (1992), Jacobi's method is more accurate than QR, SIAM J. Matrix Anal. Appl. 13, 1204-1245
 * @example jacobiSvd([Float64Array.of(3, 0), Float64Array.of(0, 2)]).values // [3, 2]
 */
export function jacobiSvd(columns: readonly Float64Array[]): SingularValues {
  const size = columns.length
  const left = columns.map((column) => column.slice())
  const right = columns.map((_, j) => unitVector(size, j))
  for (let sweep = 0; sweep < SWEEP_LIMIT; sweep++) {
    let turned = false
    for (let i = 0; i < size; i++) {
      for (let j = i + 1; j < size; j++) {
        turned = orthogonalise(left[i]!, left[j]!, right[i]!, right[j]!) || turned
      }
    }
    if (!turned) break
  }
  const values = new Float64Array(size)
  for (let j = 0; j < size; j++) {
    const column = left[j]!
    values[j] = Math.sqrt(dot(column, column))
    for (let i = 0; i < column.length; i++) column[i]! /= values[j]! || 1
  }
  return { values, left, right }
}

/** Convergence is quadratic in the end: six to ten sweeps bring matrices of any size to rounding. */
const SWEEP_LIMIT = 40

function unitVector(size: number, index: number): Float64Array {
  const vector = new Float64Array(size)
  vector[index] = 1
  return vector
}

/** Rotates two columns, and the same two of V, so that they are orthogonal; false when they already are. */
function orthogonalise(a: Float64Array, b: Float64Array, va: Float64Array, vb: Float64Array): boolean {
  const squareA = dot(a, a)
  const squareB = dot(b, b)
  const product = dot(a, b)
  if (!(Math.abs(product) > Number.EPSILON * Math.sqrt(squareA * squareB))) return false
  const cotangent = (squareB - squareA) / (2 * product)
  const tangent = (cotangent < 0 ? -1 : 1) / (Math.abs(cotangent) + Math.sqrt(1 + cotangent * cotangent))
  const cosine = 1 / Math.sqrt(1 + tangent * tangent)
  rotate(a, b, cosine, cosine * tangent)
  rotate(va, vb, cosine, cosine * tangent)
  return true
}

function rotate(a: Float64Array, b: Float64Array, cosine: number, sine: number): void {
  for (let i = 0; i < a.length; i++) {
    const x = a[i]!
    const y = b[i]!
    a[i] = cosine * x - sine * y
    b[i] = sine * x + cosine * y
  }
}
