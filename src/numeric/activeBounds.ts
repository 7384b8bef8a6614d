import { dot } from './dot.js'
import { type Point, type Problem, predictedReduction } from './residualPoint.js'

/** Derivatives at a point and the parameters that may move. */
export interface FreeColumns {
  readonly columns: readonly Float64Array[]
  readonly free: readonly number[]
}

/** Where a step leads inside the bounds: cut off parameter by parameter, or shortened as a whole, whichever fits better. */
export function landing(problem: Problem, point: Point, view: FreeColumns, step: Float64Array): Float64Array {
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
  const gainOf = (there: Float64Array): number =>
    predictedReduction(
      point,
      view.columns,
      there.map((value, j) => value - parameters[j]!),
    )
  return gainOf(cut) >= gainOf(shortened) ? cut : shortened
}

/** Parameters that aren't pressed against a bound by the slope of the sum of squares. */
export function freeParameters(
  problem: Problem,
  point: Point,
  columns: readonly Float64Array[],
): readonly number[] {
  return columns.flatMap((column, j) => {
    const slope = dot(column, point.residuals)
    const atLower = point.parameters[j]! <= problem.lower[j]! && slope >= 0
    const atUpper = point.parameters[j]! >= problem.upper[j]! && slope <= 0
    return atLower || atUpper ? [] : [j]
  })
}
