import { InputError } from '../../errors.js'

/** A first-order approach from one level to another: y(t) = toward + (from - toward) exp(-t/tau). Any unit; tau in s. */
export interface Relaxation {
  readonly from: number
  readonly toward: number
  readonly tauS: number
}

/**
 * Value of a relaxation `tS` seconds after its start: draws the decay of a stage that `stages` reports.
 *
 * @source solution of y' = (toward - y)/tau
 * @example relaxationAt({ from: 90, toward: 45, tauS: 30 }, 30) // 61.55
 */
export function relaxationAt({ from, toward, tauS }: Relaxation, tS: number): number {
  return toward + (from - toward) * Math.exp(-tS / tauS)
}

/**
 * Time-mean of a relaxation from 0 to `forS`: toward + (from - toward) tau/t (1 - exp(-t/tau)).
 * A logged power is such a mean over its interval, so this is what a sample shows.
 *
 * @source integral of `relaxationAt`, divided by its length
 * @example relaxationMean({ from: 90, toward: 45, tauS: 30 }, 30) // 73.45
 */
export function relaxationMean({ from, toward, tauS }: Relaxation, forS: number): number {
  if (forS <= 0) return from
  return toward + ((from - toward) * tauS * -Math.expm1(-forS / tauS)) / forS
}

/**
 * When a relaxation is within `tolerance` of its end level for good: tau ln(|from - toward| / tolerance), 0 when it
 * starts inside.
 *
 * @param tolerance - distance from `toward`, in the relaxation's own unit, > 0
 * @throws InputError `tolerance-not-positive`
 * @source `relaxationAt` solved for t
 * @example relaxationSettlesAfter({ from: 90, toward: 45, tauS: 30 }, 0.9) // 117.4
 */
export function relaxationSettlesAfter({ from, toward, tauS }: Relaxation, tolerance: number): number {
  if (!(tolerance > 0)) {
    throw new InputError('tolerance-not-positive', `expected a tolerance above 0, got ${tolerance}`)
  }
  return Math.max(0, tauS * Math.log(Math.abs(from - toward) / tolerance))
}
