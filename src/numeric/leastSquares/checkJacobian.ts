import { dot } from '../dot.js'
import { addMultiple, type Point, type Problem } from './residualPoint.js'

/**
 * A given Jacobian is checked once, at the end: a wrong one would stop anywhere and call it a minimum. One step that moves all
 * parameters, each so far that its column weighs the same, tells a wrong column by one call.
 */
export function checkJacobian(
  problem: Problem,
  { parameters, residuals, columns }: Point & { readonly columns: readonly Float64Array[] },
): boolean {
  const lengths = columns.map(length)
  const moves = lengths.map((value, j) => CHECK_STEP * value * (Math.abs(parameters[j]!) || 1))
  const weight = Math.min(...moves.filter((move) => move > 0))
  const there = parameters.map((value, j) => {
    const step = lengths[j]! > 0 ? weight / lengths[j]! : CHECK_STEP * (Math.abs(value) || 1)
    return value + step <= problem.upper[j]! ? value + step : Math.max(problem.lower[j]!, value - step)
  })
  const gap = problem.evaluate(there)
  for (let i = 0; i < gap.length; i++) gap[i]! -= residuals[i]!
  columns.forEach((column, j) => {
    addMultiple(gap, column, parameters[j]! - there[j]!)
  })
  const rounding =
    1e-14 * (length(residuals) + lengths.reduce((sum, value, j) => sum + value * Math.abs(parameters[j]!), 0))
  // 1 % tells a wrong formula from the curvature of the step and the rounding of the residuals.
  return !gap.every(Number.isFinite) || length(gap) <= 0.01 * weight + rounding
}

/** Relative step of that check: curvature changes a derivative by about a millionth. */
const CHECK_STEP = 1e-6

function length(column: Float64Array): number {
  return Math.sqrt(dot(column, column))
}
