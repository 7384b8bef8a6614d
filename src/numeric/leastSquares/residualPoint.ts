import { dot } from '../dot.js'
import type { Differentiator } from './differentiate.js'

/** A least-squares problem as the descent sees it. */
export interface Problem {
  /** Residuals of a parameter vector, written over `into`. */
  readonly evaluate: (parameters: Float64Array, into: Float64Array) => Float64Array
  /** An array as long as the residuals, with anything in it. */
  readonly take: () => Float64Array
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

/** Evaluates a parameter vector; the residuals are written over `into`. */
export function pointAt(problem: Problem, parameters: Float64Array, into: Float64Array): Point {
  const residuals = problem.evaluate(parameters, into)
  return { parameters, residuals, sumOfSquares: dot(residuals, residuals) }
}

/** Where the derivatives at a point, one column a parameter, say that a step so small that its square counts for nothing leads. */
export function foreseenPoint(
  { parameters: from, residuals: before }: Point,
  columns: readonly Float64Array[],
  parameters: Float64Array,
  into: Float64Array,
): Point {
  into.set(before)
  columns.forEach((column, j) => {
    addMultiple(into, column, parameters[j]! - from[j]!)
  })
  return { parameters, residuals: into, sumOfSquares: dot(into, into) }
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
  const last = target.length - 1
  let i = 0
  // By twos: looking up where an array lies costs as much as the sum.
  for (; i < last; i += 2) {
    target[i]! += factor * column[i]!
    target[i + 1]! += factor * column[i + 1]!
  }
  if (i === last) target[i]! += factor * column[i]!
}
