import { Matrix, SVD } from 'ml-matrix'
import { triangularise } from './householder.js'

/** A linearised least-squares problem r + J s, with each variable scaled, ready to be solved for any step length. */
export interface LinearModel {
  /** Number of directions that the data determine. */
  readonly rank: number
  /** Smallest singular value as a share of the largest. */
  readonly condition: number
  /** Step without damping (of least scaled length when the rank is short). */
  readonly fullStep: Float64Array
  /** Scaled length of `fullStep`. */
  readonly fullLength: number
  /** Minimiser of |r + J s|² over steps of at most the given scaled length. */
  stepWithin(radius: number): Float64Array
  /** Diagonal of (JᵀJ)⁻¹ and its off-diagonals, undefined when the rank is short. */
  inverseNormal(): readonly (readonly number[])[] | undefined
}

/**
 * Factorises a linearised problem: QR of the scaled Jacobian, then singular values of the small triangle. Every step
 * length costs a few operations after that, and directions that the data don't determine are told apart from weak ones.
 *
 * @param columns - the Jacobian's p columns of n numbers
 * @param residuals - n numbers
 * @param scales - p scales > 0; a step's length is |scale × step|
 * @param rankTolerance - singular values below this share of the largest carry no information
 * @source J. J. More (1978), The Levenberg-Marquardt algorithm: implementation and theory, Lecture Notes in Mathematics
 * 630, 105-116 (trust region, scaling); singular values: M. A. Branch, T. F. Coleman, Y. Li (1999), SIAM J. Sci. Comput. 21, 1-23
 */
export function linearModel(problem: {
  readonly columns: readonly Float64Array[]
  readonly residuals: Float64Array
  readonly scales: Float64Array
  readonly rankTolerance: number
}): LinearModel {
  const { scales } = problem
  if (scales.length === 0) return EMPTY_MODEL
  const { upper, projected } = triangularise(problem.columns, problem.residuals)
  // Scaling a column of the Jacobian scales that of the triangle.
  const svd = new SVD(new Matrix(upper.map((row) => Array.from(row, (value, j) => value / scales[j]!))))
  const singular = svd.diagonal
  const along = svd.leftSingularVectors
    .transpose()
    .mmul(Matrix.columnVector(Array.from(projected)))
    .to1DArray()
  const floor = problem.rankTolerance * Math.max(...singular)
  const rank = singular.filter((value) => value > floor).length
  const coordinates = (damping: number): readonly number[] =>
    singular.map((s, i) => (damping === 0 && s <= floor ? 0 : (-s * along[i]!) / (s * s + damping)))
  const toStep = (y: readonly number[]): Float64Array =>
    Float64Array.from(scales, (scale, j) => {
      return y.reduce((sum, value, i) => sum + svd.rightSingularVectors.get(j, i) * value, 0) / scale
    })
  const full = coordinates(0)
  const fullLength = Math.hypot(...full)
  return {
    rank,
    condition: Math.min(...singular) / Math.max(...singular),
    fullStep: toStep(full),
    fullLength,
    stepWithin: (radius) =>
      toStep(fullLength <= radius ? full : coordinates(dampingFor(singular, along, radius))),
    inverseNormal: () => (rank < singular.length ? undefined : inverseNormal(svd, singular, scales)),
  }
}

/** No variable may move. */
const EMPTY_MODEL: LinearModel = {
  rank: 0,
  condition: 1,
  fullStep: new Float64Array(0),
  fullLength: 0,
  stepWithin: () => new Float64Array(0),
  inverseNormal: () => [],
}

/** Damping at which the step has the length `radius`, to a part in a thousand: Newton on the secular equation. */
function dampingFor(singular: readonly number[], along: readonly number[], radius: number): number {
  const gradient = singular.map((s, i) => s * along[i]!)
  let low = 0
  let high = Math.hypot(...gradient) / radius
  let damping = 1e-3 * high
  for (let pass = 0; pass < 60; pass++) {
    let square = 0
    let slope = 0
    for (const [i, s] of singular.entries()) {
      const denominator = s * s + damping
      if (denominator === 0) continue
      const y = gradient[i]! / denominator
      square += y * y
      slope += (y * y) / denominator
    }
    const length = Math.sqrt(square)
    if (Math.abs(length - radius) <= 1e-3 * radius) break
    if (length > radius) low = damping
    else high = damping
    // Newton on 1/length, which is nearly straight in the damping (More 1978, equation 5.5).
    const next = damping + ((length - radius) / radius) * (square / slope)
    damping = next > low && next < high ? next : Math.max(Math.sqrt(low * high), 1e-3 * high)
  }
  return damping
}

function inverseNormal(svd: SVD, singular: readonly number[], scales: Float64Array): number[][] {
  const v = svd.rightSingularVectors
  return Array.from(scales, (scaleI, i) =>
    Array.from(scales, (scaleJ, j) => {
      const sum = singular.reduce((total, s, k) => total + (v.get(i, k) / s) * (v.get(j, k) / s), 0)
      return sum / (scaleI * scaleJ)
    }),
  )
}
