import type { Differentiator } from './differentiate.js'

/** A least-squares problem as the descent sees it. */
export interface Problem {
  readonly evaluate: (parameters: Float64Array) => Float64Array
  readonly derivatives: Differentiator
  readonly lower: Float64Array
  readonly upper: Float64Array
  readonly rankTolerance: number
  /** Undamped step that may be left, in standard errors. */
  readonly tolerance: number
  /** True while evaluations are left. */
  readonly affordable: () => boolean
}

/** A parameter vector with its residuals. */
export interface Point {
  readonly parameters: Float64Array
  readonly residuals: Float64Array
  readonly sumOfSquares: number
}

/** Evaluates a parameter vector. */
export function pointAt(problem: Problem, parameters: Float64Array): Point {
  const residuals = problem.evaluate(parameters)
  let sumOfSquares = 0
  for (const value of residuals) sumOfSquares += value * value
  return { parameters, residuals, sumOfSquares }
}

/** Fall of the sum of squares along a step by the linear model: -(2 r·Js + |Js|²). */
export function predictedReduction(
  point: Point,
  columns: readonly Float64Array[],
  taken: Float64Array,
): number {
  let fall = 0
  for (const [i, residual] of point.residuals.entries()) {
    let change = 0
    for (const [j, column] of columns.entries()) change += column[i]! * taken[j]!
    fall -= change * (2 * residual + change)
  }
  return fall
}

/** Fall of the sum of squares, from the differences of residuals: exact where the two sums would agree to all digits. */
export function reduction(from: Point, to: Point): number {
  let fall = 0
  for (const [i, before] of from.residuals.entries()) {
    const after = to.residuals[i]!
    fall += (before - after) * (before + after)
  }
  return fall
}

/** Σ a b. */
export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
