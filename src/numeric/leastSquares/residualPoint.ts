import { dot } from '../dot.js'
import type { Differentiator } from './differentiate.js'

/** A least-squares problem as the descent sees it. */
export interface Problem {
  /** Residuals of a parameter vector. */
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
  return { parameters, residuals, sumOfSquares: dot(residuals, residuals) }
}

/** Where the derivatives at a point, one column a parameter, say that a step so small that its square counts for nothing leads. */
export function foreseenPoint(
  from: Point,
  columns: readonly Float64Array[],
  parameters: Float64Array,
): Point {
  const residuals = from.residuals.slice()
  columns.forEach((column, j) => {
    addMultiple(residuals, column, parameters[j]! - from.parameters[j]!)
  })
  return { parameters, residuals, sumOfSquares: dot(residuals, residuals) }
}

/** Fall of the sum of squares, from the differences of residuals: exact where the two sums would agree to all digits. */
export function reduction(from: Point, to: Point): number {
  const { residuals } = from
  const { residuals: reached } = to
  let fall = 0
  for (let i = 0; i < residuals.length; i++) {
    const before = residuals[i]!
    const after = reached[i]!
    fall += (before - after) * (before + after)
  }
  return fall
}

/** target + factor × column, in place. */
export function addMultiple(target: Float64Array, column: Float64Array, factor: number): void {
  for (let i = 0; i < target.length; i++) target[i]! += factor * column[i]!
}
