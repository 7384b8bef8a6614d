import { dot } from '../dot.js'
import type { Triangle } from './householderQr.js'
import { jacobiSvd, type SingularValues } from './jacobiSvd.js'

/** A linearised least-squares problem r + J s, with each variable scaled, ready to be solved for any step length. */
export interface LinearModel {
  /** Number of directions that the data determine. */
  readonly rank: number
  /** Smallest singular value as a share of the largest. */
  readonly condition: number
  /** Step without damping (of least scaled length when the rank is short). */
  readonly fullStep: Float64Array
  /** Fall of the sum of squares along a step: -(2 r·Js + |Js|²). */
  predictedFall(step: Float64Array): number
  /** Minimiser of |r + J s|² over steps of at most the given scaled length. */
  stepWithin(radius: number): Float64Array
  /** (JᵀJ)⁻¹, undefined when the rank is short. */
  inverseNormal(): readonly (readonly number[])[] | undefined
  /** Its diagonal. */
  variances(): Float64Array | undefined
}

/**
 * Prepares a linearised problem that was reduced to a triangle: singular values of the scaled triangle. Every step length costs
 * a few operations after that, and directions that the data don't determine are told apart from weak ones.
 *
 * @param problem.triangle - of the Jacobian's p columns and the residuals
 * @param problem.scales - p scales > 0; a step's length is |scale × step|
 * @param problem.rankTolerance - singular values below this share of the largest carry no information
 * @source J. J. More (1978), The Levenberg-Marquardt algorithm: implementation and theory, Lecture Notes in Mathematics
 * 630, 105-116 (trust region, scaling); singular values: M. A. Branch, T. F. Coleman, Y. Li (1999), SIAM J. Sci. Comput. 21, 1-23
 */
export function linearModel(problem: {
  readonly triangle: Triangle
  readonly scales: Float64Array
  readonly rankTolerance: number
}): LinearModel {
  const { triangle, scales } = problem
  if (scales.length === 0) return EMPTY_MODEL
  const svd = jacobiSvd(scaledColumns(triangle.upper, scales))
  const along = new Float64Array(scales.length)
  let largest = 0
  let least = Number.POSITIVE_INFINITY
  for (let i = 0; i < along.length; i++) {
    along[i] = dot(svd.left[i]!, triangle.projected)
    largest = Math.max(largest, svd.values[i]!)
    least = Math.min(least, svd.values[i]!)
  }
  const floor = problem.rankTolerance * largest
  const full = stretchesFor(svd.values, along, { damping: 0, floor })
  const fullLength = Math.sqrt(dot(full, full))
  let rank = 0
  for (let i = 0; i < along.length; i++) if (svd.values[i]! > floor) rank++
  return {
    rank,
    condition: least / largest,
    fullStep: stepFrom(full, svd, scales),
    predictedFall: (step) => predictedFall(triangle, step),
    stepWithin: (radius) => {
      const damping = fullLength <= radius ? 0 : dampingFor(svd.values, along, radius)
      return stepFrom(stretchesFor(svd.values, along, { damping, floor }), svd, scales)
    },
    inverseNormal: () => (rank < scales.length ? undefined : inverseNormal(svd, scales)),
    variances: () =>
      rank < scales.length ? undefined : scales.map((_, i) => inverseEntry(svd, scales, i, i)),
  }
}

/** No variable may move. */
const EMPTY_MODEL: LinearModel = {
  rank: 0,
  condition: 1,
  fullStep: new Float64Array(0),
  predictedFall: () => 0,
  stepWithin: () => new Float64Array(0),
  inverseNormal: () => [],
  variances: () => new Float64Array(0),
}

/** J s is as long as R s, and its product with r is that of R s with Qᵀ r. */
function predictedFall({ upper, projected }: Triangle, step: Float64Array): number {
  let fall = 0
  for (let i = 0; i < upper.length; i++) {
    const change = dot(upper[i]!, step)
    fall -= change * (change + 2 * projected[i]!)
  }
  return fall
}

/** Scaling a column of the Jacobian scales that of the triangle. */
function scaledColumns(upper: readonly Float64Array[], scales: Float64Array): readonly Float64Array[] {
  return upper.map((_, j) => {
    const column = new Float64Array(scales.length)
    for (let i = 0; i <= j; i++) column[i] = upper[i]![j]! / scales[j]!
    return column
  })
}

/** How far a step goes along each singular direction, in scaled variables. */
function stretchesFor(
  singular: Float64Array,
  along: Float64Array,
  { damping, floor }: { readonly damping: number; readonly floor: number },
): Float64Array {
  const stretches = new Float64Array(singular.length)
  for (let i = 0; i < stretches.length; i++) {
    const s = singular[i]!
    stretches[i] = damping === 0 && s <= floor ? 0 : (-s * along[i]!) / (s * s + damping)
  }
  return stretches
}

function stepFrom(stretches: Float64Array, svd: SingularValues, scales: Float64Array): Float64Array {
  const step = new Float64Array(scales.length)
  for (let j = 0; j < step.length; j++) {
    let sum = 0
    for (let i = 0; i < stretches.length; i++) sum += svd.right[i]![j]! * stretches[i]!
    step[j] = sum / scales[j]!
  }
  return step
}

/**
 * Damping at which the step has the length `radius`, to a part in a thousand: Newton on 1/length, which is nearly straight in the damping,
 * and concave, so that it comes near from below (More 1978, equation 5.5).
 */
function dampingFor(singular: Float64Array, along: Float64Array, radius: number): number {
  const gradient = singular.map((s, i) => s * along[i]!)
  let damping = (1e-3 * Math.sqrt(dot(gradient, gradient))) / radius
  for (let pass = 0; pass < 60; pass++) {
    let square = 0
    let slope = 0
    for (const [i, s] of singular.entries()) {
      const denominator = s * s + damping
      const y = gradient[i]! / denominator
      square += y * y
      slope += (y * y) / denominator
    }
    const length = Math.sqrt(square)
    if (Math.abs(length - radius) <= 1e-3 * radius) break
    const next = damping + ((length - radius) / radius) * (square / slope)
    damping = next > 0 ? next : 1e-3 * damping
  }
  return damping
}

function inverseNormal(svd: SingularValues, scales: Float64Array): number[][] {
  const indices = Array.from(scales.keys())
  return indices.map((i) => indices.map((j) => inverseEntry(svd, scales, i, j)))
}

function inverseEntry({ values, right }: SingularValues, scales: Float64Array, i: number, j: number): number {
  let sum = 0
  for (let k = 0; k < values.length; k++) sum += (right[k]![i]! / values[k]!) * (right[k]![j]! / values[k]!)
  return sum / (scales[i]! * scales[j]!)
}
