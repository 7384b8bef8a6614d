import { allFinite } from '../allFinite.js'
import { dot } from '../dot.js'

/** How derivatives are taken, from the cheapest to the most exact way. */
export type DerivativeGrade = 'quick' | 'coarse' | 'fine'

/** Derivatives of a residual function at a point with its residuals: p columns of n numbers; undefined when they aren't finite. */
export type Derivatives = (at: Float64Array, residuals: Float64Array) => readonly Float64Array[] | undefined

/** Derivatives by differences, in three grades. */
export interface Differentiator {
  /** One-sided differences: one evaluation a parameter, about 7 digits; for the way down. */
  readonly quick: Derivatives
  /** Central differences: two evaluations a parameter, about 10 digits. */
  readonly coarse: Derivatives
  /** Extrapolated central differences with the step that is most consistent: about 13 digits. */
  readonly fine: Derivatives
  /** Looks again for the best step sizes the next time `fine` is called. */
  readonly forgetSteps: () => void
  /** Relative error of single derivatives. */
  readonly errors: Readonly<Record<DerivativeGrade, number>>
}

type Evaluate = (parameters: Float64Array) => Float64Array

/** Relative step of a central difference: cube root of the rounding unit balances its two errors. */
const COARSE_STEP = Math.cbrt(Number.EPSILON)

/** The same for a one-sided difference. */
const QUICK_STEP = Math.sqrt(Number.EPSILON)

/**
 * Relative steps tried for an extrapolated difference, until two in a row agree; eps^(1/5) = 7e-4 is the balance for a
 * smooth function of the size of its parameter.
 */
const FINE_STEPS = [4e-3, 7e-4, 1e-4, 2e-2, 0.1, 1e-5, 1e-7] as const

const ERRORS = { quick: 1e-8, coarse: 1e-10, fine: 1e-13 } as const

/** Two differences that agree to this share are as good as differences get. */
const AGREEMENT = 1e-11

/**
 * Derivatives of residuals by differences whose steps are relative to each parameter's own size, and that stay within
 * bounds. A parameter that passes through 0 keeps a step relative to the largest size it has had; one that has always been 0 takes a step
 * that the residuals feel.
 *
 * @param evaluate - residuals of a parameter vector, perhaps not finite
 * @source extrapolation: L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307-357; choice by consistency:
 * C. J. F. Ridders (1982), Advances in Engineering Software 4, 75-76
 */
export function differentiator(
  evaluate: Evaluate,
  bounds: { readonly lower: Float64Array; readonly upper: Float64Array },
): Differentiator {
  const sizes = new Float64Array(bounds.lower.length)
  const probed = new Array<number | undefined>(sizes.length).fill(undefined)
  const chosen = new Array<number | undefined>(sizes.length).fill(undefined)
  const size = (line: CoordinateLine, here: number, j: number): number => {
    if (here === 0 && sizes[j] === 0) probed[j] ??= probeSize(line)
    sizes[j] = Math.max(sizes[j]!, here)
    return Math.max(here, 1e-4 * sizes[j]!) || probed[j]!
  }
  const columnsBy =
    (derive: (line: CoordinateLine, size: number, j: number) => Float64Array | undefined): Derivatives =>
    (at, residuals) => {
      const columns: Float64Array[] = []
      for (let j = 0; j < at.length; j++) {
        const line = lineAlong(evaluate, bounds, at, residuals, j)
        const column = derive(line, size(line, Math.abs(at[j]!), j), j)
        if (!column) return undefined
        columns.push(column)
      }
      return columns
    }
  return {
    errors: ERRORS,
    quick: columnsBy((line, scale) => firstFinite(line, scale * QUICK_STEP, forward)),
    coarse: columnsBy((line, scale) => firstFinite(line, scale * COARSE_STEP, difference)),
    fine: columnsBy((line, scale, j) => {
      const known = chosen[j]
      if (known !== undefined) return firstFinite(line, scale * known, extrapolated)
      const best = mostConsistent(line, scale)
      chosen[j] = best?.step
      return best?.derivative
    }),
    forgetSteps: () => chosen.fill(undefined),
  }
}

/** The residuals along one parameter. */
interface CoordinateLine {
  readonly residuals: Float64Array
  /** Residuals at an offset, and that offset as rounding leaves it. */
  along(offset: number): { readonly offset: number; readonly values: Float64Array }
  readonly below: number
  readonly above: number
}

function lineAlong(
  evaluate: Evaluate,
  { lower, upper }: { readonly lower: Float64Array; readonly upper: Float64Array },
  at: Float64Array,
  residuals: Float64Array,
  j: number,
): CoordinateLine {
  return {
    residuals,
    along: (offset) => {
      const there = at.slice()
      there[j]! += offset
      return { offset: there[j]! - at[j]!, values: evaluate(there) }
    },
    below: at[j]! - lower[j]!,
    above: upper[j]! - at[j]!,
  }
}

/** A derivative; undefined when it isn't finite. */
type Rule = (line: CoordinateLine, step: number) => Float64Array | undefined

function firstFinite(line: CoordinateLine, step: number, rule: Rule): Float64Array | undefined {
  for (let shrink = 1; shrink >= 1e-6; shrink /= 100) {
    const derivative = rule(line, step * shrink)
    if (derivative) return derivative
  }
  return undefined
}

/** First order, towards the side with more room. */
function forward(line: CoordinateLine, step: number): Float64Array | undefined {
  const reach = Math.min(step, Math.max(line.above, line.below))
  const { offset, values } = line.along(line.above >= reach ? reach : -reach)
  return quotient(values, line.residuals, offset)
}

/** Central difference, or one-sided of second order at a bound. */
function difference(line: CoordinateLine, step: number): Float64Array | undefined {
  if (step <= line.below && step <= line.above) return central(line, step)
  const sign = line.above >= line.below ? 1 : -1
  const reach = Math.min(step, Math.max(line.above, line.below) / 2)
  return oneSided(line, sign * reach)
}

function central(line: CoordinateLine, step: number): Float64Array | undefined {
  const up = line.along(step)
  const down = line.along(-step)
  return quotient(up.values, down.values, up.offset - down.offset)
}

/** (a - b) / width. */
function quotient(a: Float64Array, b: Float64Array, width: number): Float64Array | undefined {
  const slopes = new Float64Array(a.length)
  for (let i = 0; i < slopes.length; i++) slopes[i] = (a[i]! - b[i]!) / width
  return ifFinite(slopes)
}

/** Second order from the point and two on one side. */
function oneSided(line: CoordinateLine, step: number): Float64Array | undefined {
  const near = line.along(step)
  const far = line.along(2 * step)
  const a = near.offset
  const b = far.offset
  return ifFinite(
    line.residuals.map((value, i) => {
      const first = (near.values[i]! - value) / a
      const second = (far.values[i]! - value) / b
      return (first * b - second * a) / (b - a)
    }),
  )
}

/** One extrapolation step: the leading error of the difference, of second order in the step, cancels between a step and its half. */
function extrapolated(line: CoordinateLine, step: number): Float64Array | undefined {
  const whole = difference(line, step)
  const half = whole && difference(line, step / 2)
  return half && ifFinite(half.map((value, i) => value + (value - whole[i]!) / 3))
}

function ifFinite(values: Float64Array): Float64Array | undefined {
  return allFinite(values) ? values : undefined
}

/** The derivative that agrees best with that of the step before, and its relative step; undefined when none is finite. */
function mostConsistent(
  line: CoordinateLine,
  scale: number,
): { readonly step: number; readonly derivative: Float64Array } | undefined {
  let previous: Float64Array | undefined
  let best: { readonly step: number; readonly derivative: Float64Array; readonly gap: number } | undefined
  for (const step of FINE_STEPS) {
    const derivative = extrapolated(line, scale * step)
    const gap = derivative && previous ? distance(derivative, previous) : Number.POSITIVE_INFINITY
    if (derivative && (!best || gap < best.gap)) best = { step, derivative, gap }
    if (derivative && gap <= AGREEMENT * norm(derivative)) break
    previous = derivative
  }
  return best
}

/** A step from 0 that changes the residuals by something between a millionth and a hundredth of their length, as far as there is room. */
function probeSize(line: CoordinateLine): number {
  const length = norm(line.residuals) || 1
  const sign = line.above >= line.below ? 1 : -1
  const room = Math.max(line.above, line.below)
  let step = Math.min(1, room)
  for (let pass = 0; pass < 16; pass++) {
    const change = distance(line.along(sign * step).values, line.residuals) / length
    if (change > 1e-2 || !Number.isFinite(change)) step /= 10
    else if (change < 1e-6 && step < room) step = Math.min(10 * step, room)
    else break
  }
  return step
}

function distance(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += (a[i]! - b[i]!) ** 2
  return Math.sqrt(sum)
}

function norm(values: Float64Array): number {
  return Math.sqrt(dot(values, values))
}
