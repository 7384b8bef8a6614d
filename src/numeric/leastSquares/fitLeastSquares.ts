import { InputError } from '../../errors.js'
import { allFinite } from '../allFinite.js'
import { dot } from '../dot.js'
import { checkJacobian } from './checkJacobian.js'
import { descend } from './descend.js'
import type { Descent, StopReason } from './descent.js'
import { differentiator } from './differentiate.js'
import { givenDerivatives, type JacobianFunction } from './givenDerivatives.js'
import { householderQr } from './householderQr.js'
import type { Point, Problem } from './residualPoint.js'
import { linearModel } from './trustRegionStep.js'
import type { Strategy } from './variableScales.js'

/** A nonlinear least-squares problem. */
export interface LeastSquaresProblem {
  /** n >= p numbers whose squares are added up; the same n at every call. They are copied, so an array may be filled again. */
  readonly residuals: (parameters: readonly number[]) => ArrayLike<number>
  /** p finite numbers inside the bounds. */
  readonly start: ArrayLike<number>
  /** n rows of p derivatives, d residual / d parameter; by differences when left out. */
  readonly jacobian?: JacobianFunction | undefined
  /** The same as p columns of n derivatives, in place of `jacobian`: quicker, for they are used by columns. */
  readonly jacobianColumns?: JacobianFunction | undefined
  readonly lower?: ArrayLike<number> | undefined
  readonly upper?: ArrayLike<number> | undefined
  /** Most calls of `residuals`; 4,000 (p + 1) when left out. */
  readonly maxEvaluations?: number | undefined
  /**
   * Undamped step that may be left, in standard errors of each parameter: for fits that need no more digits than the data
   * carry. As exact as the derivatives allow when left out.
   */
  readonly tolerance?: number | undefined
  /** Length of the first step relative to the start's, in place of 1, where a full step is likely to leave the valley. */
  readonly firstRadius?: number | undefined
}

/** A nonlinear least-squares fit. */
export interface LeastSquaresFit {
  readonly parameters: readonly number[]
  /** Undefined when the data don't determine every parameter, or no degree of freedom is left. */
  readonly standardErrors: readonly number[] | undefined
  /** s² (JᵀJ)⁻¹ with s² = RSS / (n - p); undefined as `standardErrors`. */
  readonly covariance: readonly (readonly number[])[] | undefined
  readonly residuals: readonly number[]
  readonly residualSumOfSquares: number
  /** n - p. */
  readonly degreesOfFreedom: number
  /** True only when the step that is left is negligible beside every parameter, or rounding hides it. */
  readonly converged: boolean
  readonly reason: StopReason | 'jacobian-wrong'
  /** Calls of `residuals`. */
  readonly evaluations: number
  /** Indices of parameters that a bound holds; their standard errors ignore the bound: prefer `profileInterval`. */
  readonly atBound: readonly number[]
}

/**
 * Minimises a sum of squared residuals over the parameters of a model that is not linear in them.
 *
 * Trust region over the linearised problem, by QR and singular values, with scaled variables, difference steps relative
 * to each parameter (extrapolated near the solution) and active bounds. `converged` is earned by the size of the
 * undamped step at the end, not by a slow fall of the sum of squares. When a descent ends where the data don't determine
 * the parameters or nothing moves, others with a different scaling and first step are tried from the same start. The
 * result is a local minimum: among several, the start decides.
 *
 * @throws InputError `start-unusable`, `bounds-unusable`, `residuals-unusable`, `jacobian-shape`
 * @source J. J. More (1978), Lecture Notes in Mathematics 630, 105-116; D. M. Bates, D. G. Watts (1988), Nonlinear
 * Regression Analysis and Its Applications, chapter 2 (convergence, covariance)
 * @example
 * const x = [1, 2, 3, 4]
 * const y = [2.7, 1.5, 0.8, 0.5]
 * fitLeastSquares({
 *   residuals: ([a, tau]) => x.map((value, i) => y[i] - a * Math.exp(-value / tau)),
 *   start: [1, 1],
 * }).parameters // [4.9, 1.7]
 */
export function fitLeastSquares(problem: LeastSquaresProblem): LeastSquaresFit {
  const setting = prepare(problem)
  const { counter } = setting
  let best: Descent | undefined
  for (const strategy of strategiesFor(problem)) {
    counter.allowance = Math.min(counter.limit, counter.calls + Math.ceil(counter.limit / 2))
    const descent = descend(setting.problem, setting.start, strategy)
    if (!best || isBetter(descent, best)) best = descent
    if (isConverged(best.reason) || counter.calls >= counter.limit || isGoingOn(problem, descent)) break
  }
  return report(problem, setting, best!)
}

/**
 * Tried in turn until one converges: the customary scaling with a first step as long as the start; small careful steps in
 * proportion to each parameter, for starts from which a full step leaps out of the valley; then bolder and humbler ones.
 */
const STRATEGIES: readonly Strategy[] = [
  { scaling: 'largest', firstRadius: 1 },
  { scaling: 'relative', firstRadius: 0.01 },
  { scaling: 'largest', firstRadius: 100 },
  { scaling: 'largest', firstRadius: 0.03 },
  { scaling: 'current', firstRadius: 1 },
  { scaling: 'relative', firstRadius: 1 },
]

function strategiesFor({ firstRadius }: LeastSquaresProblem): readonly Strategy[] {
  return firstRadius === undefined ? STRATEGIES : [{ scaling: 'largest', firstRadius }, ...STRATEGIES]
}

/** Where few digits are wanted, a descent that is still going when its share is used up has found its valley: others begin anew. */
function isGoingOn({ tolerance }: LeastSquaresProblem, { reason }: Descent): boolean {
  return tolerance !== undefined && reason === 'evaluation-limit'
}

function isConverged(reason: StopReason): boolean {
  return reason === 'step-negligible' || reason === 'rounding-limit' || reason === 'residuals-zero'
}

function isBetter(a: Descent, b: Descent): boolean {
  if (isConverged(a.reason) !== isConverged(b.reason)) return isConverged(a.reason)
  return a.sumOfSquares < b.sumOfSquares
}

interface Counter {
  calls: number
  readonly limit: number
  allowance: number
}

interface Setting {
  readonly problem: Problem
  readonly start: Point
  readonly counter: Counter
}

function prepare(problem: LeastSquaresProblem): Setting {
  const start = Float64Array.from(problem.start)
  const bounds = requireBounds(problem, start)
  const limit = problem.maxEvaluations ?? 4_000 * (start.length + 1)
  const counter: Counter = { calls: 0, limit, allowance: limit }
  const first = requireResiduals(problem, start)
  const count = first.length
  const evaluate = (parameters: Float64Array): Float64Array => {
    counter.calls++
    const residuals = problem.residuals(Array.from(parameters))
    if (residuals.length !== count) {
      throw new InputError(
        'residuals-unusable',
        `expected ${count} residuals from every call, got ${residuals.length}`,
      )
    }
    // A copy: the caller may fill the same array again at the next call.
    return new Float64Array(residuals)
  }
  const exact = givenDerivatives(problem)
  // Singular values below this share of the largest can't be told from the error of the derivatives.
  const rankTolerance = exact ? Number.EPSILON * count : 1e-11
  const affordable = (): boolean => counter.calls < counter.allowance
  const tolerance = problem.tolerance ?? 0
  return {
    problem: {
      evaluate,
      derivatives: exact ?? differentiator(evaluate, bounds),
      ...bounds,
      rankTolerance,
      tolerance,
      affordable,
    },
    start: { parameters: start, residuals: first, sumOfSquares: dot(first, first) },
    counter,
  }
}

function requireBounds(
  problem: LeastSquaresProblem,
  start: Float64Array,
): { readonly lower: Float64Array; readonly upper: Float64Array } {
  if (start.length === 0 || !start.every(Number.isFinite)) {
    throw new InputError(
      'start-unusable',
      `expected a start of one or more finite numbers, got [${start.join(', ')}]`,
    )
  }
  const lower = Float64Array.from(problem.lower ?? start.map(() => Number.NEGATIVE_INFINITY))
  const upper = Float64Array.from(problem.upper ?? start.map(() => Number.POSITIVE_INFINITY))
  const even = lower.length === start.length && upper.length === start.length
  if (
    !even ||
    !start.every((value, j) => lower[j]! < upper[j]! && lower[j]! <= value && value <= upper[j]!)
  ) {
    throw new InputError(
      'bounds-unusable',
      `expected ${start.length} lower bounds below as many upper bounds, with the start between them, got lower [${lower.join(', ')}], start [${start.join(', ')}], upper [${upper.join(', ')}]`,
      { remedy: 'Leave a parameter that shall not move out of the fit.' },
    )
  }
  return { lower, upper }
}

function requireResiduals(problem: LeastSquaresProblem, start: Float64Array): Float64Array {
  const residuals = new Float64Array(problem.residuals(Array.from(start)))
  if (residuals.length < start.length || !allFinite(residuals)) {
    throw new InputError(
      'residuals-unusable',
      `expected at least ${start.length} residuals, all finite at the start, got ${residuals.length}, of which ${residuals.filter((value) => !Number.isFinite(value)).length} not finite`,
      { remedy: 'Give more data, fewer parameters, or a start where the model has a value.' },
    )
  }
  return residuals
}

function report(problem: LeastSquaresProblem, setting: Setting, descent: Descent): LeastSquaresFit {
  const degreesOfFreedom = descent.residuals.length - descent.parameters.length
  const inverse = degreesOfFreedom > 0 ? fullInverse(setting.problem, descent) : undefined
  const variance = descent.sumOfSquares / degreesOfFreedom
  const given = problem.jacobian ?? problem.jacobianColumns
  const wrong = given !== undefined && !checkJacobian(setting.problem, descent)
  return {
    parameters: Array.from(descent.parameters),
    standardErrors: inverse?.map((row, j) => Math.sqrt(variance * row[j]!)),
    covariance: inverse?.map((row) => row.map((value) => variance * value)),
    residuals: Array.from(descent.residuals),
    residualSumOfSquares: descent.sumOfSquares,
    degreesOfFreedom,
    converged: isConverged(descent.reason) && !wrong,
    reason: wrong ? 'jacobian-wrong' : descent.reason,
    evaluations: setting.counter.calls + 1,
    atBound: Array.from(descent.parameters.keys()).filter((j) => !descent.free.includes(j)),
  }
}

/** (JᵀJ)⁻¹ over all parameters, with every column scaled to length 1 before it is factorised. */
function fullInverse(problem: Problem, descent: Descent): readonly (readonly number[])[] | undefined {
  const { columns, residuals, free } = descent
  const scales = Float64Array.from(columns, length)
  if (columns.length === 0 || scales.some((scale) => scale === 0)) return undefined
  const triangle = free.length === columns.length ? descent.triangle : householderQr(columns, residuals)
  return linearModel({ triangle, scales, rankTolerance: problem.rankTolerance }).inverseNormal()
}

function length(column: Float64Array): number {
  return Math.sqrt(dot(column, column))
}
