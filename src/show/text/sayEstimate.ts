import type { Estimate } from '../../numeric/statistics/estimate.js'

/**
 * An estimate for people: as many digits as its interval supports, bounds rounded outwards so that the printed
 * interval is never narrower than the computed one.
 *
 * The last printed digit is the power of ten just below two thirds of the half-width, so a half-width reads as one
 * or two digits (the rounding rule of JCGM 100:2008, 7.2.6: one or two digits of an uncertainty).
 *
 * @param estimate - value and interval
 * @param unit - unit, set behind the value and said once; empty for none
 * @returns for example `44.2 W (43.9 to 44.5)`
 * @example sayEstimate({ value: 44.213, low: 43.92, high: 44.48, level: 0.9 }, 'W') // '44.2 W (43.9 to 44.5)'
 */
export function sayEstimate(estimate: Estimate, unit = ''): string {
  if (isGiven(estimate)) return sayValue(estimate, unit)
  return `${sayValue(estimate, unit)} (${sayInterval(estimate)})`
}

/** The value alone, with the digits that its interval supports: `44.2 W`. */
export function sayValue(estimate: Estimate, unit = ''): string {
  return withUnit(groupDigits(estimate.value, supportedDecimals(estimate)), unit)
}

/** The interval alone: `43.9 to 44.5`. */
export function sayInterval(estimate: Estimate): string {
  const decimals = supportedDecimals(estimate)
  const step = 10 ** -decimals
  const low = Math.floor(estimate.low / step + ROUNDING_SLACK) * step
  const high = Math.ceil(estimate.high / step - ROUNDING_SLACK) * step
  return `${groupDigits(low, decimals)} to ${groupDigits(high, decimals)}`
}

/** A plain number to a count of significant digits, thousands set apart: `15 400`. */
export function sayNumber(value: number, significantDigits = 3, unit = ''): string {
  if (value === 0) return withUnit('0', unit)
  const decimals = significantDigits - 1 - Math.floor(Math.log10(Math.abs(value)))
  return withUnit(groupDigits(value, Math.max(0, decimals)), unit)
}

/** A score or other figure that may be shown whole: at least its integer digits. */
export function sayPercent(value: number, decimals = 0): string {
  return `${groupDigits(value, decimals)}${NO_BREAK}%`
}

/** Decimals that an interval supports; negative for tens, hundreds and so on. */
export function supportedDecimals(estimate: Estimate): number {
  if (isGiven(estimate)) return exactDecimals(estimate.value)
  const halfWidth = (estimate.high - estimate.low) / 2
  return Math.min(-Math.floor(Math.log10(halfWidth / 1.5)), mostDecimals(estimate.value))
}

/** A figure without spread was given by the user or follows exactly from what was given: it needs no interval. */
function isGiven(estimate: Estimate): boolean {
  return estimate.high - estimate.low <= 1e-6 * Math.abs(estimate.value) || isNothing(estimate)
}

/** What rounding leaves of a zero: no figure that is told, in any unit, is so small. */
const NOTHING = 1e-9

function isNothing({ value, low, high }: Estimate): boolean {
  return Math.max(Math.abs(value), Math.abs(low), Math.abs(high)) < NOTHING
}

/** Eight significant digits at the most: what a metrologist prints (JCGM 100:2008, H.1). */
function mostDecimals(value: number): number {
  return value === 0 ? 3 : 7 - Math.floor(Math.log10(Math.abs(value)))
}

/** A number with `decimals` decimals (negative: rounded to tens, hundreds), thousands set apart by a space. */
export function groupDigits(value: number, decimals: number): string {
  const step = 10 ** -decimals
  const rounded = decimals < 0 ? Math.round(value / step) * step : value
  const [whole = '', fraction] = Math.abs(rounded)
    .toFixed(Math.min(12, Math.max(0, decimals)))
    .split('.')
  const grouped = whole.length < 5 ? whole : whole.replace(/\B(?=(\d{3})+$)/g, NO_BREAK)
  const digits = fraction === undefined ? grouped : `${grouped}.${fraction}`
  return rounded < 0 && Number(whole + (fraction ?? '')) !== 0 ? `−${digits}` : digits
}

/** Kept together when lines are wrapped; printed as a plain space. */
export const NO_BREAK = '\u00a0'

// Keeps 43.9 at 43.9 when binary fractions put it at 43.900000000000006.
const ROUNDING_SLACK = 1e-9

function withUnit(text: string, unit: string): string {
  return unit === '' ? text : `${text}${NO_BREAK}${unit}`
}

function exactDecimals(value: number): number {
  if (Math.abs(value) < NOTHING) return 0
  const [, fraction = ''] = Number(value.toPrecision(5)).toString().split('.')
  return fraction.length
}
