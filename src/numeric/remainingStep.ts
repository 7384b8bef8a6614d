import type { Point } from './residualPoint.js'
import type { LinearModel } from './trustRegionStep.js'

/** What is left of a descent, and how well its parameters are known. */
export interface RemainingStep {
  /** Undamped step relative to each parameter, or to its standard error where that is larger: the largest. */
  readonly remaining: number
  /** Undamped step in standard errors: the largest. */
  readonly remainingErrors: number
  /** Largest standard error relative to its parameter. */
  readonly spread: number
}

/** How far it is to go from a point by the linear model, for the parameters that may move. */
export function remainingStep(point: Point, free: readonly number[], model: LinearModel): RemainingStep {
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
