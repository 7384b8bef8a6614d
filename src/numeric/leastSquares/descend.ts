import { freeStep, landing } from './activeBounds.js'
import type { Descent, StopReason } from './descent.js'
import type { DerivativeGrade } from './differentiate.js'
import { type Linearization, linearization } from './linearization.js'
import { foreseenPoint, type Point, type Problem, pointAt, reduction } from './residualPoint.js'
import { type Strategy, scaledLength } from './variableScales.js'

/**
 * Goes down from a start to a point where no step helps any more: a trust region over the linearised problem, in scaled
 * variables, with active bounds held as long as the slope presses against them.
 *
 * Derivatives are one-sided differences on the way down, central ones as soon as the undamped step is small or the problem turns
 * out badly conditioned, and extrapolated ones where central ones would cost digits. In the end, where the sum of squares no
 * longer shows a difference, undamped steps go on as long as they shrink: that is what brings the parameters to all the
 * digits that the derivatives carry.
 *
 * @source trust region and scaling: J. J. More (1978), Lecture Notes in Mathematics 630, 105-116
 */
export function descend(problem: Problem, start: Point, strategy: Strategy): Descent {
  const descent = new Journey(problem, start, strategy)
  while (!descent.reason) descent.advance()
  return descent.result(descent.reason)
}

/** Steps per descent; the longest certified problem takes under 900. */
const STEP_LIMIT = 2000

/** An undamped step of this size, relative to its parameter, is below what derivatives by differences resolve. */
const NEGLIGIBLE = 1e-12

/** Undamped steps smaller than this share of the parameters close a descent. */
const CLOSE = 1e-5

/**
 * The last undamped step is taken without another look when the steps so far say that it leaves less than this to go. After one below
 * `CLOSE` it is smaller than 3e-8 itself: it changes residuals by what the derivatives say, as its square is below rounding.
 */
const FORESEEN = 1e-10

/** Where the undamped step is smaller than this share of the parameters, derivatives must not cost digits. */
const NEAR = 1e-2

/** One-sided differences serve while no direction is weaker than this beside the strongest. */
const WELL_CONDITIONED = 1e-3

/** What errors of the derivatives may change of a parameter. */
const DERIVATIVE_SHARE = 1e-9

/** Parameters whose undamped step is smaller than this share of them are right to six digits or more. */
const ACCEPTABLE = 1e-7

/** Closing steps that bring nothing, in a row, before the best point is taken: rounding makes single ones fail. */
const CLOSING_FAILURES = 5

/** Fall of the sum of squares, in variances of a residual: less than this is in no parameter more than a sixth of its standard error. */
const UNTOLD = 0.03

const NO_VIEW = { columns: [], triangle: { upper: [], projected: new Float64Array(0) } }

/** The moving state of a descent. */
class Journey {
  reason: StopReason | undefined
  private point: Point
  private view: Linearization | undefined
  private scales: Float64Array | undefined
  private radius: number | undefined
  private grade: DerivativeGrade = 'quick'
  private closing = true
  private steps = 0
  private best: { readonly point: Point; readonly view: Linearization } | undefined
  private failures = 0
  private series = 1

  constructor(
    private readonly problem: Problem,
    start: Point,
    private readonly strategy: Strategy,
  ) {
    this.point = start
    this.look()
  }

  advance(): void {
    // Where there is none, the descent has ended.
    const view = this.view!
    this.steps++
    if (this.steps > STEP_LIMIT || !this.problem.affordable()) this.stop('evaluation-limit')
    else if (view.remainingErrors < this.problem.tolerance) this.stop('step-negligible')
    else if (this.point.sumOfSquares === 0)
      this.stop(isIdentified(view) ? 'residuals-zero' : 'not-identified')
    else if (view.remaining < NEAR && !this.isExactEnough(this.grade)) this.refine()
    else if (this.closing && view.remaining < CLOSE) this.close(view)
    else this.descend(view)
  }

  /**
   * Whether errors of derivatives move no parameter that matters. Differences err independently from residual to residual, by
   * e relative to their column; that moves parameters by up to e / condition standard errors.
   */
  private isExactEnough(grade: DerivativeGrade): boolean {
    const { model, spread } = this.view!
    const moved = (this.problem.derivatives.errors[grade] / model.condition) * spread
    return grade === 'fine' || moved < DERIVATIVE_SHARE
  }

  result(reason: StopReason): Descent {
    const { columns, triangle } = this.view ?? NO_VIEW
    const free = this.view?.free ?? Array.from(this.point.parameters.keys())
    const { parameters, residuals, sumOfSquares } = this.point
    return { parameters, residuals, sumOfSquares, reason, columns, free, triangle }
  }

  /** Derivatives and the linear model at the point. */
  private look(): void {
    const { problem, point } = this
    const columns = problem.derivatives[this.grade](point.parameters, point.residuals)
    if (!columns) {
      this.view = undefined
      this.reason = 'derivative-not-finite'
      return
    }
    this.view = linearization(problem, point, { columns, strategy: this.strategy, scales: this.scales })
    const { free, model, scales } = this.view
    this.scales = scales
    this.radius ??= this.strategy.firstRadius * (scaledLength(point.parameters, scales) || 1)
    const weak = model.rank < free.length || model.condition < WELL_CONDITIONED
    if (this.grade === 'quick' && weak) {
      this.grade = 'coarse'
      this.look()
    }
  }

  private refine(): void {
    this.grade = this.grade === 'quick' && this.isExactEnough('coarse') ? 'coarse' : 'fine'
    this.problem.derivatives.forgetSteps()
    this.look()
  }

  /** Undamped steps as long as they shrink. */
  private close(view: Linearization): void {
    const ratio = view.remaining / (this.best?.view.remaining ?? Number.POSITIVE_INFINITY)
    if (ratio < 1) {
      // Undamped steps shrink by a constant ratio, so what is left to go is a geometric series.
      this.series = 1 / (1 - ratio)
      this.best = { point: this.point, view }
      this.failures = 0
    } else {
      this.failures++
    }
    const there = landing(this.problem, this.point, view, view.model.fullStep)
    if (ratio > 0 && ratio < 0.1 && view.remaining * ratio * this.series < FORESEEN) {
      this.point = foreseenPoint(this.point, view.columns, there)
      this.stop('step-negligible')
      return
    }
    if (view.remaining < NEGLIGIBLE || this.failures >= CLOSING_FAILURES) {
      this.endClosing()
      return
    }
    const next = pointAt(this.problem, there)
    if (next.sumOfSquares <= this.point.sumOfSquares * (1 + 1e-6)) {
      this.point = next
      this.look()
    } else this.endClosing()
  }

  private endClosing(): void {
    const best = this.best!
    this.point = best.point
    this.view = best.view
    if (best.view.remaining * this.series < ACCEPTABLE)
      this.stop(best.view.remaining < 1e-10 ? 'step-negligible' : 'rounding-limit')
    else this.closing = false
  }

  /** One damped step: shorter and shorter until the sum of squares falls. */
  private descend(view: Linearization): void {
    while (!this.reason) {
      const step = view.model.stepWithin(this.radius!)
      const parameters = landing(this.problem, this.point, view, step)
      const taken = parameters.map((value, j) => value - this.point.parameters[j]!)
      const length = scaledLength(taken, this.scales!)
      const predicted = view.model.predictedFall(freeStep(this.point, view.free, parameters))
      if (this.isNothing(taken) || predicted <= 1e-30 * this.point.sumOfSquares) {
        this.giveUp(view)
        return
      }
      const next = pointAt(this.problem, parameters)
      const gain = reduction(this.point, next) / predicted
      if (gain < 0.25 || Number.isNaN(gain)) {
        this.radius = Math.min(this.radius!, length) * (gain > -1 ? 0.5 : 0.1)
      } else if (gain > 0.75 && length > 0.9 * this.radius!) {
        this.radius = 2 * this.radius!
      }
      if (gain > 1e-4) {
        this.point = next
        this.look()
        return
      }
      if (this.isUntold(predicted)) this.stop('step-negligible')
      else if (!this.problem.affordable()) this.stop('evaluation-limit')
    }
  }

  /** Whether so small a fall of the sum of squares, which a step failed to bring, is nothing to a fit with a tolerance. */
  private isUntold(fall: number): boolean {
    const { sumOfSquares, residuals, parameters } = this.point
    const variance = sumOfSquares / Math.max(1, residuals.length - parameters.length)
    return this.problem.tolerance > 0 && fall < UNTOLD * variance
  }

  private isNothing(taken: Float64Array): boolean {
    return taken.every((value, j) => Math.abs(value) <= 1e-16 * Math.abs(this.point.parameters[j]!))
  }

  /** No step helps: with coarse derivatives look closer, else say why. */
  private giveUp(view: Linearization): void {
    if (this.grade !== 'fine') {
      this.radius = undefined
      this.refine()
    } else if (!isIdentified(view)) this.stop('not-identified')
    else if (view.remaining * this.series < ACCEPTABLE) this.stop('rounding-limit')
    else this.stop('no-progress')
  }

  private stop(reason: StopReason): void {
    this.reason = reason
  }
}

function isIdentified(view: Linearization): boolean {
  return view.model.rank === view.free.length
}
