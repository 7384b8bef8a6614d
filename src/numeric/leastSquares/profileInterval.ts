import { InputError } from '../../errors.js'
import { ESTIMATE_LEVEL, type Estimate } from '../statistics/estimate.js'
import { studentTQuantile } from '../statistics/studentT.js'
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from './fitLeastSquares.js'

/**
 * Profile likelihood interval of one parameter of a least-squares fit, for parameters whose error is skewed (time
 * constants, exponents) or limited by a bound: all values at which the other parameters can still bring the sum of
 * squares down to
 *
 *   RSS(value) <= RSS (1 + t² / (n - p)),  t = Student's t((1 + level) / 2, n - p)
 *
 * A side on which no value is ruled out ends at the parameter's bound, or at ±Infinity without one.
 *
 * @param request.problem - as for `fitLeastSquares`
 * @param request.fit - its converged fit
 * @param request.parameter - index of the parameter
 * @param request.level - share that the interval holds, 0.9 when left out
 * @returns undefined when the fit didn't converge or no degree of freedom is left
 * @throws InputError `parameter-unknown`
 * @source D. M. Bates, D. G. Watts (1988), Nonlinear Regression Analysis and Its Applications, section 6.1
 * @example
 * const problem = { residuals: ([a]) => [1, 2, 3].map((y) => y - a), start: [0] }
 * profileInterval({ problem, fit: fitLeastSquares(problem), parameter: 0 })?.low // 0.31
 */
export function profileInterval(request: {
  readonly problem: LeastSquaresProblem
  readonly fit: LeastSquaresFit
  readonly parameter: number
  readonly level?: number | undefined
}): Estimate | undefined {
  const { problem, fit, parameter, level = ESTIMATE_LEVEL } = request
  const value = fit.parameters[parameter]
  if (value === undefined) {
    throw new InputError(
      'parameter-unknown',
      `expected an index from 0 to ${fit.parameters.length - 1}, got ${parameter}`,
    )
  }
  if (!fit.converged || fit.degreesOfFreedom <= 0) return undefined
  if (fit.residualSumOfSquares === 0) return { value, low: value, high: value, level }
  const limit = studentTQuantile((1 + level) / 2, fit.degreesOfFreedom)
  const spread = fit.standardErrors?.[parameter] ?? 0
  const firstStep = limit * spread || 0.1 * Math.abs(value) || 1
  const low = edge({ problem, fit, parameter, limit, step: -firstStep })
  const high = edge({ problem, fit, parameter, limit, step: firstStep })
  return { value, low, high, level }
}

/** Widenings of the first step, by half each, before a side counts as open: a factor of about 10^14. */
const WIDENINGS = 80

/** An edge is found to this share of its distance from the estimate. */
const EDGE_TOLERANCE = 1e-6

interface Search {
  readonly problem: LeastSquaresProblem
  readonly fit: LeastSquaresFit
  readonly parameter: number
  readonly limit: number
  readonly step: number
}

/** Where the signed root of the profile reaches the limit, going from the estimate in the direction of `step`. */
function edge(search: Search): number {
  const { fit, parameter, limit, step, problem } = search
  const value = fit.parameters[parameter]!
  const bound =
    (step < 0 ? problem.lower : problem.upper)?.[parameter] ?? Math.sign(step) * Number.POSITIVE_INFINITY
  const profile = profileAlong(search)
  let inside = { distance: 0, root: 0 }
  let distance = Math.abs(step)
  for (let widening = 0; widening < WIDENINGS; widening++) {
    const reached = Math.min(distance, Math.abs(bound - value))
    const root = profile(value + Math.sign(step) * reached)
    if (root >= limit) {
      return (
        value +
        Math.sign(step) *
          crossing(inside, { distance: reached, root }, limit, (d) => profile(value + Math.sign(step) * d))
      )
    }
    if (reached < distance) return bound
    inside = { distance, root }
    distance *= 1.5
  }
  return bound
}

/**
 * The root √((RSS(value) - RSS) / s²), refitting the other parameters from where the last refit ended. A value for which
 * the refit has no finite residuals is ruled out.
 */
function profileAlong({ problem, fit, parameter }: Search): (value: number) => number {
  const variance = fit.residualSumOfSquares / fit.degreesOfFreedom
  const others = (values: ArrayLike<number>): number[] => Array.from(values).filter((_, j) => j !== parameter)
  let start = others(fit.parameters)
  return (value) => {
    const whole = (rest: readonly number[]): number[] => [
      ...rest.slice(0, parameter),
      value,
      ...rest.slice(parameter),
    ]
    const residuals = (rest: readonly number[]): ArrayLike<number> => problem.residuals(whole(rest))
    const refit = minimum({
      residuals,
      start,
      lower: problem.lower && others(problem.lower),
      upper: problem.upper && others(problem.upper),
    })
    if (!refit) return Number.POSITIVE_INFINITY
    start = refit.parameters
    return Math.sqrt(Math.max(0, refit.sumOfSquares - fit.residualSumOfSquares) / variance)
  }
}

function minimum(
  problem: LeastSquaresProblem & { readonly start: number[] },
): { readonly parameters: number[]; readonly sumOfSquares: number } | undefined {
  const residuals = Array.from(problem.residuals(problem.start))
  if (!residuals.every(Number.isFinite)) return undefined
  if (problem.start.length === 0) {
    return { parameters: [], sumOfSquares: residuals.reduce((sum, r) => sum + r * r, 0) }
  }
  const fit = fitLeastSquares(problem)
  return { parameters: [...fit.parameters], sumOfSquares: fit.residualSumOfSquares }
}

interface Mark {
  readonly distance: number
  readonly root: number
}

/** Bisection and false position in turn: the root is nearly a straight line in well-behaved problems. */
function crossing(inside: Mark, outside: Mark, limit: number, rootAt: (distance: number) => number): number {
  let low = inside
  let high = outside
  for (let pass = 0; pass < 60 && high.distance - low.distance > EDGE_TOLERANCE * high.distance; pass++) {
    const share =
      Number.isFinite(high.root) && pass % 3 < 2 ? (limit - low.root) / (high.root - low.root) : 0.5
    // Kept off the ends, so that both close in.
    const kept = Math.min(1 - 1e-3, Math.max(1e-3, share))
    const distance = low.distance + kept * (high.distance - low.distance)
    const mark = { distance, root: rootAt(distance) }
    if (Math.abs(mark.root - limit) < EDGE_TOLERANCE * limit) return distance
    if (mark.root < limit) low = mark
    else high = mark
  }
  return (low.distance + high.distance) / 2
}
