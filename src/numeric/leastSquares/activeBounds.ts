import type { Point, Problem } from './residualPoint.js'
import type { LinearModel } from './trustRegionStep.js'

/** The parameters that may move, and the linear model over them. */
export interface FreeModel {
  readonly free: readonly number[]
  readonly model: LinearModel
}

/** Where a step leads inside the bounds: cut off parameter by parameter, or shortened as a whole, whichever fits better. */
export function landing(problem: Problem, point: Point, view: FreeModel, step: Float64Array): Float64Array {
  const { parameters } = point
  const { lower, upper } = problem
  const whole = new Float64Array(parameters.length)
  for (const [k, j] of view.free.entries()) whole[j] = step[k]!
  const inside = (share: number): Float64Array =>
    parameters.map((value, j) => Math.min(upper[j]!, Math.max(lower[j]!, value + share * whole[j]!)))
  const cut = inside(1)
  const share = parameters.reduce((least, value, j) => {
    const limit = whole[j]! < 0 ? lower[j]! : upper[j]!
    return whole[j] === 0 ? least : Math.min(least, (limit - value) / whole[j]!)
  }, 1)
  if (share >= 1) return cut
  const shortened = inside(share)
  const gainOf = (there: Float64Array): number => view.model.predictedFall(freeStep(point, view.free, there))
  return gainOf(cut) >= gainOf(shortened) ? cut : shortened
}

/** The step from a point to a parameter vector, over the parameters that may move. */
export function freeStep(point: Point, free: readonly number[], there: Float64Array): Float64Array {
  const step = new Float64Array(free.length)
  for (let k = 0; k < step.length; k++) step[k] = there[free[k]!]! - point.parameters[free[k]!]!
  return step
}

/**
 * Parameters that aren't pressed against a bound by the slope of the sum of squares.
 *
 * @param slopes - half the derivatives of the sum of squares
 */
export function freeParameters(
  { lower, upper }: Problem,
  { parameters }: Point,
  slopes: Float64Array,
): readonly number[] {
  const free: number[] = []
  for (let j = 0; j < parameters.length; j++) {
    const atLower = parameters[j]! <= lower[j]! && slopes[j]! >= 0
    const atUpper = parameters[j]! >= upper[j]! && slopes[j]! <= 0
    if (!atLower && !atUpper) free.push(j)
  }
  return free
}
