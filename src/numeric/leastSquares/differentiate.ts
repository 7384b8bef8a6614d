import { allFinite } from '../allFinite.js'
import { dot } from '../dot.js'
import { constantColumns } from './constantColumns.js'

/** How derivatives are taken, from the cheapest to the most exact way. */
export type DerivativeGrade = 'quick' | 'coarse' | 'fine'

/** Derivatives of a residual function, written over p columns of n numbers; false when they aren't finite. */
export type Derivatives = (
  at: Float64Array,
  residuals: Float64Array,
  columns: readonly Float64Array[],
) => boolean

/** Derivatives by differences, in three grades. */
export interface Differentiator {
  /** One-sided differences: one evaluation a parameter whose column changes, about 7 digits; for the way down. */
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

type Evaluate = (parameters: Float64Array, into: Float64Array) => Float64Array

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
 * bounds. A parameter that passes through 0 keeps a step relative to the largest size it has had.
 *
 * @param ask - residuals over an array, perhaps not finite; by `glance` perhaps in one that the next call writes over
 * @param take - gives an array as long as the residuals
 * @source extrapolation: L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307-357; choice by consistency:
 * C. J. F. Ridders (1982), Advances in Engineering Software 4, 75-76
 */
export function differentiator(
  { evaluate, glance }: { readonly evaluate: Evaluate; readonly glance: Evaluate },
  bounds: { readonly lower: Float64Array; readonly upper: Float64Array },
  take: () => Float64Array,
): Differentiator {
  const rooms: Float64Array[] = []
  const sizes = new Float64Array(bounds.lower.length)
  const chosen = new Array<number | undefined>(sizes.length).fill(undefined)
  const room = (k: 0 | 1 | 2): Float64Array => (rooms[k] ??= take())
  const size = (at: Float64Array, residuals: Float64Array, j: number): number => {
    const wanted = sizes[j] === 0 && at[j] === 0
    if (wanted) sizes[j] = probeSize((there) => evaluate(there, room(0)), at, residuals, j)
    sizes[j] = Math.max(sizes[j]!, Math.abs(at[j]!))
    return Math.max(Math.abs(at[j]!), 1e-4 * sizes[j]!)
  }
  const still = constantColumns(sizes.length, ERRORS.quick, take)
  const columnsBy =
    (derive: (line: CoordinateLine, size: number, into: Float64Array, j: number) => boolean): Derivatives =>
    (at, residuals, columns) =>
      columns.every((column, j) => {
        const line: CoordinateLine = {
          at,
          residuals,
          along: (offset, into, ask = evaluate) => {
            const there = at.slice()
            there[j]! += offset
            return { offset: there[j]! - at[j]!, values: ask(there, into) }
          },
          glance,
          scratch: room,
          below: at[j]! - bounds.lower[j]!,
          above: bounds.upper[j]! - at[j]!,
        }
        return derive(line, size(at, residuals, j), column, j)
      })
  return {
    errors: ERRORS,
    quick: columnsBy((line, scale, into, j) => {
      if (still.recall(j, line.at, into)) return true
      const found = firstFinite(line, scale * QUICK_STEP, into, forward)
      if (found) still.note(j, line.at, into)
      return found
    }),
    coarse: columnsBy((line, scale, into) => firstFinite(line, scale * COARSE_STEP, into, difference)),
    fine: columnsBy((line, scale, into, j) => {
      const known = chosen[j]
      if (known !== undefined) return firstFinite(line, scale * known, into, extrapolated)
      chosen[j] = mostConsistent(line, scale, into)
      return chosen[j] !== undefined
    }),
    forgetSteps: () => chosen.fill(undefined),
  }
}

/** The residuals along one parameter. */
interface CoordinateLine {
  readonly at: Float64Array
  readonly residuals: Float64Array
  along(offset: number, into: Float64Array, ask?: Evaluate): { offset: number; values: Float64Array }
  readonly glance: Evaluate
  /** Room for the residuals at two points, and for a derivative. */
  scratch(k: 0 | 1 | 2): Float64Array
  readonly below: number
  readonly above: number
}

/** Writes a derivative over `into`; false when it isn't finite. */
type Rule = (line: CoordinateLine, step: number, into: Float64Array) => boolean

function firstFinite(line: CoordinateLine, step: number, into: Float64Array, rule: Rule): boolean {
  for (let shrink = 1; shrink >= 1e-6; shrink /= 100) {
    if (rule(line, step * shrink, into)) return true
  }
  return false
}

/** First order, towards the side with more room. */
function forward(line: CoordinateLine, step: number, into: Float64Array): boolean {
  const reach = Math.min(step, Math.max(line.above, line.below))
  const { offset, values } = line.along(line.above >= reach ? reach : -reach, line.scratch(0), line.glance)
  return quotient(values, line.residuals, offset, into)
}

/** Central difference, or one-sided of second order at a bound. */
function difference(line: CoordinateLine, step: number, into: Float64Array): boolean {
  if (step <= line.below && step <= line.above) return central(line, step, into)
  const sign = line.above >= line.below ? 1 : -1
  const reach = Math.min(step, Math.max(line.above, line.below) / 2)
  return oneSided(line, sign * reach, into)
}

function central(line: CoordinateLine, step: number, into: Float64Array): boolean {
  const up = line.along(step, line.scratch(0))
  const down = line.along(-step, line.scratch(1))
  return quotient(up.values, down.values, up.offset - down.offset, into)
}

/** (a - b) / width; false where that isn't finite. */
function quotient(a: Float64Array, b: Float64Array, width: number, into: Float64Array): boolean {
  const perWidth = 1 / width
  const last = into.length - 1
  // As in `allFinite`, without a pass of its own.
  let even = 0
  let odd = 0
  let i = 0
  for (; i < last; i += 2) {
    const first = (a[i]! - b[i]!) * perWidth
    const second = (a[i + 1]! - b[i + 1]!) * perWidth
    into[i] = first
    into[i + 1] = second
    even += 0 * first
    odd += 0 * second
  }
  if (i === last) {
    into[i] = (a[i]! - b[i]!) * perWidth
    even += 0 * into[i]!
  }
  return even + odd === 0
}

/** Second order from the point and two on one side. */
function oneSided(line: CoordinateLine, step: number, into: Float64Array): boolean {
  const near = line.along(step, line.scratch(0))
  const far = line.along(2 * step, line.scratch(1))
  const a = near.offset
  const b = far.offset
  for (let i = 0; i < into.length; i++) {
    const value = line.residuals[i]!
    const first = (near.values[i]! - value) / a
    const second = (far.values[i]! - value) / b
    into[i] = (first * b - second * a) / (b - a)
  }
  return allFinite(into)
}

/** One extrapolation step: the leading error of the difference cancels between a step and its half. */
function extrapolated(line: CoordinateLine, step: number, into: Float64Array): boolean {
  const whole = line.scratch(2)
  // Both rules have a leading error of second order in the step.
  if (!difference(line, step, whole) || !difference(line, step / 2, into)) return false
  for (let i = 0; i < into.length; i++) into[i]! += (into[i]! - whole[i]!) / 3
  return allFinite(into)
}

/** Relative step whose derivative, written over `into`, agrees best with that of the step before; undefined when none is finite. */
function mostConsistent(line: CoordinateLine, scale: number, into: Float64Array): number | undefined {
  let derivative: Float64Array = into.slice()
  let previous: Float64Array | undefined
  let best: { step: number; gap: number } | undefined
  for (const step of FINE_STEPS) {
    const known = extrapolated(line, scale * step, derivative)
    const gap = known && previous ? distance(derivative, previous) : Number.POSITIVE_INFINITY
    if (known && (!best || gap < best.gap)) {
      best = { step, gap }
      into.set(derivative)
    }
    if (known && gap <= AGREEMENT * norm(derivative)) break
    const spare: Float64Array = previous ?? derivative.slice()
    previous = known ? derivative : undefined
    derivative = spare
  }
  return best?.step
}

/** A step from 0 that changes the residuals by something between a billionth and a hundredth of their length. */
function probeSize(
  evaluate: (at: Float64Array) => Float64Array,
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

function distance(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += (a[i]! - b[i]!) ** 2
  return Math.sqrt(sum)
}

function norm(values: Float64Array): number {
  return Math.sqrt(dot(values, values))
}
