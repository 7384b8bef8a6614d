import { InputError } from '../../errors.js'
import { normalQuantile } from './normalQuantile.js'
import { quantiles, weightedQuantiles } from './quantile.js'
import { studentTQuantile } from './studentT.js'

/** A value with an interval that holds the true value with probability `level` (0.9 unless said otherwise). */
export interface Estimate {
  readonly value: number
  readonly low: number
  readonly high: number
  readonly level: number
}

/** The interval level of every published figure. */
export const ESTIMATE_LEVEL = 0.9

/** Standard errors between the middle and either end of a normal figure's interval of that level. */
export function estimateEdge(level: number): number {
  return normalQuantile((1 + level) / 2)
}

/** The same of a published interval: 1.645 at 90 %. */
export const ESTIMATE_EDGE = estimateEdge(ESTIMATE_LEVEL)

/**
 * Median and central interval of draws from a distribution: a posterior, a bootstrap, or a propagated uncertainty.
 *
 * @param draws.values - at least one finite number
 * @param draws.weights - as many, none negative; equal when left out
 * @param draws.level - share that the interval holds, 0.9 when left out
 * @throws InputError `values-empty`, `weights-unusable`, `level-out-of-range`
 * @source JCGM 101:2008, 7.7 (probabilistically symmetric coverage interval)
 * @example estimateFromDraws({ values: [1, 2, 3], level: 0.5 }) // { value: 2, low: 1.5, high: 2.5, level: 0.5 }
 */
export function estimateFromDraws(draws: {
  readonly values: ArrayLike<number>
  readonly weights?: ArrayLike<number> | undefined
  readonly level?: number | undefined
}): Estimate {
  const level = requireLevel(draws.level ?? ESTIMATE_LEVEL)
  const shares = [0.5, (1 - level) / 2, (1 + level) / 2]
  const [value, low, high] = draws.weights
    ? weightedQuantiles(draws.values, draws.weights, shares)
    : quantiles(draws.values, shares)
  return { value: value!, low: low!, high: high!, level }
}

/**
 * Student's interval of a figure with a normally distributed error.
 *
 *   value ± t((1 + level) / 2, degrees of freedom) × standard error
 *
 * @param figure.standardError - in the unit of `value`, >= 0
 * @param figure.degreesOfFreedom - those behind the standard error, > 0; Infinity when it is known exactly
 * @param figure.level - share that the interval holds, 0.9 when left out
 * @throws InputError `standard-error-negative`, `degrees-of-freedom-not-positive`, `level-out-of-range`
 * @source JCGM 100:2008, G.3
 * @example estimateFromStandardError({ value: 40, standardError: 1, degreesOfFreedom: 9 }).low // 38.17
 */
export function estimateFromStandardError(figure: {
  readonly value: number
  readonly standardError: number
  readonly degreesOfFreedom: number
  readonly level?: number | undefined
}): Estimate {
  const level = requireLevel(figure.level ?? ESTIMATE_LEVEL)
  if (!(figure.standardError >= 0)) {
    throw new InputError(
      'standard-error-negative',
      `expected a standard error of 0 or more, got ${figure.standardError}`,
    )
  }
  const half = studentTQuantile((1 + level) / 2, figure.degreesOfFreedom) * figure.standardError
  return { value: figure.value, low: figure.value - half, high: figure.value + half, level }
}

/**
 * Interval of a positive figure whose logarithm has a normally distributed error: value × e^(± 1.645 error).
 *
 * @param logError - standard error of ln value, about the relative standard error, >= 0
 * @example estimateFromLogError(100, 0.1).high // 117.9
 */
export function estimateFromLogError(value: number, logError: number): Estimate {
  const factor = Math.exp(ESTIMATE_EDGE * logError)
  return { value, low: value / factor, high: value * factor, level: ESTIMATE_LEVEL }
}

function requireLevel(level: number): number {
  if (!(level > 0 && level < 1)) {
    throw new InputError(
      'level-out-of-range',
      `expected an interval level strictly between 0 and 1, got ${level}`,
      { remedy: 'Give 0.9 for a 90 % interval.' },
    )
  }
  return level
}

/** An estimate of something that can't be below zero: what of it lies there is moved to zero, order and level kept. */
export function atLeastZero({ value, low, high, level }: Estimate): Estimate {
  return { value: Math.max(0, value), low: Math.max(0, low), high: Math.max(0, high), level }
}
