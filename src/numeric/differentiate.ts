import { dot } from './dot.js'

/** Residuals of a parameter vector. */
export type ResidualFunction = (parameters: Float64Array) => ArrayLike<number>

/** How derivatives are taken, from the cheapest to the most exact way. */
export type DerivativeGrade = 'quick' | 'coarse' | 'fine'

/** Column by column derivatives of a residual function, by differences. */
export interface Differentiator {
  /** One-sided differences: one evaluation a parameter, about 7 digits; for the way down. */
  quick(at: Float64Array, residuals: Float64Array): readonly Float64Array[] | undefined
  /** Central differences: two evaluations a parameter, about 10 digits. */
  coarse(at: Float64Array, residuals: Float64Array): readonly Float64Array[] | undefined
  /** Extrapolated central differences with the step that is most consistent: about 13 digits. */
  fine(at: Float64Array, residuals: Float64Array): readonly Float64Array[] | undefined
  /** Looks again for the best step sizes the next time `fine` is called. */
  forgetSteps(): void
  /** Relative error of single derivatives. */
  readonly errors: Readonly<Record<DerivativeGrade, number>>
}

/** Relative step of a central difference: cube root of the rounding unit balances its two errors. */
const COARSE_STEP = Math.cbrt(Number.EPSILON)

/** The same for a one-sided difference. */
const QUICK_STEP = Math.sqrt(Number.EPSILON)

/**
 * Relative steps tried for an extrapolated difference, until two in a row agree; eps^(1/5) = 7e-4 is the balance for a
 * smooth function of the size of its parameter.
 */
const FINE_STEPS = [4e-3, 7e-4, 1e-4, 2e-2, 0.1, 1e-5, 1e-7] as const

/** Two differences that agree to this share are as good as differences get. */
const AGREEMENT = 1e-11

/**
 * Derivatives of residuals by differences whose steps are relative to each parameter's own size, and that stay within
 * bounds. A parameter that passes through 0 keeps a step relative to the largest size it has had.
 *
 * A result is undefined when no finite residuals were found on either side of a parameter.
 *
 * @param evaluate - residuals; may return values that are not finite
 * @source extrapolation: L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307-357; choice by consistency:
 * C. J. F. Ridders (1982), Advances in Engineering Software 4, 75-76
 */
export function differentiator(
  evaluate: (parameters: Float64Array) => Float64Array,
  bounds: { readonly lower: Float64Array; readonly upper: Float64Array },
): Differentiator {
  const sizes = new Float64Array(bounds.lower.length)
  const chosen: (number | undefined)[] = new Array(sizes.length).fill(undefined)
  const size = (at: Float64Array, residuals: Float64Array, j: number): number => {
    if (sizes[j] === 0 && at[j] === 0) sizes[j] = probeSize(evaluate, at, residuals, j)
    sizes[j] = Math.max(sizes[j]!, Math.abs(at[j]!))
    return Math.max(Math.abs(at[j]!), 1e-4 * sizes[j]!)
  }
  const columnsOf = (
    at: Float64Array,
    residuals: Float64Array,
    column: (line: Line, size: number, j: number) => Float64Array | undefined,
  ): readonly Float64Array[] | undefined => {
    const columns: Float64Array[] = []
    for (let j = 0; j < at.length; j++) {
      const line: Line = {
        residuals,
        along: (offset) => {
          const there = at.slice()
          there[j]! += offset
          return { offset: there[j]! - at[j]!, values: evaluate(there) }
        },
        below: at[j]! - bounds.lower[j]!,
        above: bounds.upper[j]! - at[j]!,
      }
      const derivative = column(line, size(at, residuals, j), j)
      if (!derivative) return undefined
      columns.push(derivative)
    }
    return columns
  }
  return {
    errors: { quick: 1e-8, coarse: 1e-10, fine: 1e-13 },
    quick: (at, residuals) =>
      columnsOf(at, residuals, (line, scale) => firstFinite(line, scale * QUICK_STEP, forward)),
    coarse: (at, residuals) =>
      columnsOf(at, residuals, (line, scale) => firstFinite(line, scale * COARSE_STEP, difference)),
    fine: (at, residuals) =>
      columnsOf(at, residuals, (line, scale, j) => {
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
interface Line {
  readonly residuals: Float64Array
  along(offset: number): { readonly offset: number; readonly values: Float64Array }
  readonly below: number
  readonly above: number
}

type Rule = (line: Line, step: number) => Float64Array | undefined

function firstFinite(line: Line, step: number, rule: Rule): Float64Array | undefined {
  for (let shrink = 1; shrink >= 1e-6; shrink /= 100) {
    const derivative = rule(line, step * shrink)
    if (derivative) return derivative
  }
  return undefined
}

/** First order, towards the side with more room. */
function forward(line: Line, step: number): Float64Array | undefined {
  const reach = Math.min(step, Math.max(line.above, line.below))
  const { offset, values } = line.along(line.above >= reach ? reach : -reach)
  const derivative = new Float64Array(values.length)
  for (let i = 0; i < derivative.length; i++) derivative[i] = (values[i]! - line.residuals[i]!) / offset
  return finite(derivative)
}

/** Central difference, or one-sided of second order at a bound. */
function difference(line: Line, step: number): Float64Array | undefined {
  if (step <= line.below && step <= line.above) return central(line, step)
  const sign = line.above >= line.below ? 1 : -1
  const reach = Math.min(step, Math.max(line.above, line.below) / 2)
  return oneSided(line, sign * reach)
}

function central(line: Line, step: number): Float64Array | undefined {
  const up = line.along(step)
  const down = line.along(-step)
  const width = up.offset - down.offset
  const derivative = new Float64Array(line.residuals.length)
  for (let i = 0; i < derivative.length; i++) derivative[i] = (up.values[i]! - down.values[i]!) / width
  return finite(derivative)
}

/** Second order from the point and two on one side. */
function oneSided(line: Line, step: number): Float64Array | undefined {
  const near = line.along(step)
  const far = line.along(2 * step)
  const a = near.offset
  const b = far.offset
  return finite(
    line.residuals.map((value, i) => {
      const first = (near.values[i]! - value) / a
      const second = (far.values[i]! - value) / b
      return (first * b - second * a) / (b - a)
    }),
  )
}

/** One extrapolation step: the leading error of the difference cancels between a step and its half. */
function extrapolated(line: Line, step: number): Float64Array | undefined {
  const whole = difference(line, step)
  const half = difference(line, step / 2)
  // Both rules have a leading error of second order in the step.
  if (!whole || !half) return undefined
  const derivative = new Float64Array(half.length)
  for (let i = 0; i < half.length; i++) derivative[i] = half[i]! + (half[i]! - whole[i]!) / 3
  return finite(derivative)
}

function mostConsistent(
  line: Line,
  scale: number,
): { readonly step: number; readonly derivative: Float64Array } | undefined {
  let previous: Float64Array | undefined
  let best: { step: number; derivative: Float64Array; gap: number } | undefined
  for (const step of FINE_STEPS) {
    const derivative = extrapolated(line, scale * step)
    if (derivative && previous) {
      const gap = distance(derivative, previous)
      if (!best || gap < best.gap) best = { step, derivative, gap }
      if (gap <= AGREEMENT * norm(derivative)) break
    }
    if (derivative && !best) best = { step, derivative, gap: Number.POSITIVE_INFINITY }
    previous = derivative
  }
  return best
}

/** A step from 0 that changes the residuals by something between a billionth and a hundredth of their length. */
function probeSize(
  evaluate: (parameters: Float64Array) => Float64Array,
  at: Float64Array,
  residuals: Float64Array,
  j: number,
): number {
  const length = norm(residuals) || 1
  let step = 1
  for (let pass = 0; pass < 16; pass++) {
    const there = at.slice()
    there[j] = step
    const change = distance(evaluate(there), residuals) / length
    if (change > 1e-2 || !Number.isFinite(change)) step /= 10
    else if (change < 1e-9) step *= 10
    else break
  }
  return step
}

function finite(values: Float64Array): Float64Array | undefined {
  return allFinite(values) ? values : undefined
}

function allFinite(values: Float64Array): boolean {
  // 0 times a value that is not finite is NaN, and stays so in a sum.
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += 0 * values[i]!
  return sum === 0
}

function distance(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += (a[i]! - b[i]!) ** 2
  return Math.sqrt(sum)
}

function norm(values: Float64Array): number {
  return Math.sqrt(dot(values, values))
}
