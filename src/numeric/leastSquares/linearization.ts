import { dot } from '../dot.js'
import { freeParameters } from './activeBounds.js'
import { householderQr, type Triangle } from './householderQr.js'
import type { Point, Problem } from './residualPoint.js'
import { type LinearModel, linearModel } from './trustRegionStep.js'
import { type Strategy, scalesFor } from './variableScales.js'

/** A problem as it looks from a point: linearised, with the parameters that may move and how far it is to go. */
export interface Linearization extends RemainingStep {
  /** Derivatives of the residuals, one column a parameter. */
  readonly columns: readonly Float64Array[]
  /** Indices of the parameters that aren't held by a bound. */
  readonly free: readonly number[]
  /** The free columns reduced to a triangle. */
  readonly triangle: Triangle
  /** What a unit of each parameter weighs in the length of a step. */
  readonly scales: Float64Array
  readonly model: LinearModel
}

/**
 * The view from a point with the given derivatives.
 *
 * @param look.columns - derivatives of the residuals, one column a parameter
 * @param look.scales - of the view before, when there was one
 */
export function linearization(
  problem: Problem,
  point: Point,
  look: {
    readonly columns: readonly Float64Array[]
    readonly strategy: Strategy
    readonly scales: Float64Array | undefined
  },
): Linearization {
  const { columns, strategy } = look
  const slopes = Float64Array.from(columns, (column) => dot(column, point.residuals))
  const free = freeParameters(problem, point, slopes)
  const lengths = Float64Array.from(columns, (column) => Math.sqrt(dot(column, column)))
  const scales = scalesFor(strategy, look.scales, lengths, point.parameters)
  const triangle = householderQr(
    free.map((j) => columns[j]!),
    point.residuals,
  )
  const { rankTolerance } = problem
  const model = linearModel({ triangle, scales: pick(scales, free), rankTolerance })
  const { remaining, remainingErrors, spread } = remainingStep(point, free, model)
  return { columns, free, triangle, scales, model, remaining, remainingErrors, spread }
}

function pick(values: Float64Array, indices: readonly number[]): Float64Array {
  const result = new Float64Array(indices.length)
  for (let k = 0; k < result.length; k++) result[k] = values[indices[k]!]!
  return result
}

/** What is left of a descent, and how well its parameters are known. */
interface RemainingStep {
  /** Undamped step relative to each parameter, or to its standard error where that is larger: the largest. */
  readonly remaining: number
  /** Undamped step in standard errors: the largest. */
  readonly remainingErrors: number
  /** Largest standard error relative to its parameter. */
  readonly spread: number
}

/** How far it is to go from a point by the linear model, for the parameters that may move. */
function remainingStep(point: Point, free: readonly number[], model: LinearModel): RemainingStep {
  const variances = model.variances()
  const unknown = Number.POSITIVE_INFINITY
  if (!variances) return { remaining: unknown, remainingErrors: unknown, spread: unknown }
  const degrees = Math.max(1, point.residuals.length - point.parameters.length)
  let remaining = 0
  let remainingErrors = 0
  let spread = 0
  free.forEach((j, k) => {
    const step = Math.abs(model.fullStep[k]!)
    const standardError = Math.sqrt((variances[k]! * point.sumOfSquares) / degrees)
    remaining = Math.max(remaining, step / (Math.max(Math.abs(point.parameters[j]!), standardError) || 1))
    remainingErrors = Math.max(remainingErrors, step / standardError)
    spread = Math.max(spread, standardError / Math.abs(point.parameters[j]!))
  })
  return { remaining, remainingErrors, spread }
}
