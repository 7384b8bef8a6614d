import type { Estimate } from '../../numeric/statistics/estimate.js'
import {
  exactDecimals,
  type FigureKind,
  finestDecimals,
  groupDigits,
  isGiven,
  kindOfUnit,
  NO_BREAK,
  supportedDecimals,
} from './digits.js'

/**
 * An estimate for people: as many digits as its interval supports and its kind allows, bounds rounded outwards so that the
 * printed interval is never narrower than the computed one.
 *
 * @param estimate - value and interval
 * @param unit - unit, set behind the value and said once; empty for none
 * @param kind - what it measures; by the unit where it is left out
 * @returns for example `44.2 W (43.9 to 44.5)`
 * @example sayEstimate({ value: 44.213, low: 43.92, high: 44.48, level: 0.9 }, 'W') // '44.2 W (43.9 to 44.5)'
 */
export function sayEstimate(estimate: Estimate, unit = '', kind = kindOfUnit(unit)): string {
  if (isGiven(estimate)) return sayValue(estimate, unit, kind)
  return `${sayValue(estimate, unit, kind)} (${sayInterval(estimate, kind)})`
}

/** The value alone, with the digits that its interval supports: `44.2 W`. */
export function sayValue(estimate: Estimate, unit = '', kind = kindOfUnit(unit)): string {
  return withUnit(groupDigits(estimate.value, supportedDecimals(estimate, kind)), unit)
}

/** The interval alone: `43.9 to 44.5`. */
export function sayInterval(estimate: Estimate, kind: FigureKind = 'any'): string {
  const decimals = supportedDecimals(estimate, kind)
  // A difference that is sure of its sign shows it: −7 % (−13 to −0.6), not to 0.
  const isSure = kind === 'percent' && estimate.low * estimate.high > 0
  return `${sayBound(estimate.low, { decimals, isSure, round: Math.floor })} to ${sayBound(estimate.high, { decimals, isSure, round: Math.ceil })}`
}

/** A bound rounded outwards, with one digit more where it would else become 0 and must not. */
function sayBound(
  bound: number,
  {
    decimals,
    isSure,
    round,
  }: { readonly decimals: number; readonly isSure: boolean; readonly round: (value: number) => number },
): string {
  const slack = round === Math.floor ? ROUNDING_SLACK : -ROUNDING_SLACK
  const at = (digits: number) => round(bound * 10 ** digits + slack) / 10 ** digits
  const digits = isSure && at(decimals) === 0 && at(decimals + 1) !== 0 ? decimals + 1 : decimals
  return groupDigits(at(digits), digits)
}

/** A score, or what follows from one, with its interval: its unit may be a second, and still it is no length of time. */
export function sayScore(estimate: Estimate, unit = ''): string {
  return sayEstimate(estimate, unit, 'score')
}

/** A score that was measured, as it was noted: `13 600`, `184.5`. */
export function sayMeasuredScore(score: number): string {
  return groupDigits(score, exactDecimals(score, 6))
}

/** A power that was measured or computed, where no interval is at hand: `44.2 W`. */
export function sayPower(powerW: number): string {
  return withUnit(groupDigits(powerW, finestDecimals(powerW, 'power')), 'W')
}

/** A range of powers: `43.3 to 95.9 W`; `55.0 W` where both ends read alike. */
export function sayPowers([lowW, highW]: readonly [number, number]): string {
  const decimals = finestDecimals(highW, 'power')
  const low = groupDigits(lowW, decimals)
  return low === groupDigits(highW, decimals) ? sayPower(highW) : `${low} to ${sayPower(highW)}`
}

/** A power that somebody chose, as it was written: `45 W`, `47.5 W`. It was not measured, so it has no digits to show. */
export function sayGivenPower(powerW: number): string {
  return withUnit(groupDigits(powerW, powerW % 1 === 0 ? 0 : 1), 'W')
}

/** A plain number to a count of significant digits, thousands set apart: `15 400`. */
export function sayNumber(value: number, significantDigits = 3, unit = ''): string {
  if (value === 0) return withUnit('0', unit)
  const decimals = significantDigits - 1 - Math.floor(Math.log10(Math.abs(value)))
  return withUnit(groupDigits(value, Math.max(0, decimals)), unit)
}

/** A share in percent, signed only when it is below zero: `12.3 %`. */
export function sayPercent(value: number, decimals = 1): string {
  return `${groupDigits(value, decimals)}${NO_BREAK}%`
}

/** `1 run`, `2 runs`. */
export function sayCount(count: number, noun: string, plural = `${noun}s`): string {
  return `${groupDigits(count, 0)} ${count === 1 ? noun : plural}`
}

// Keeps 43.9 at 43.9 when binary fractions put it at 43.900000000000006.
const ROUNDING_SLACK = 1e-9

function withUnit(text: string, unit: string): string {
  return unit === '' ? text : `${text}${NO_BREAK}${unit}`
}
