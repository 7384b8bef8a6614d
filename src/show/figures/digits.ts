import type { Estimate } from '../../numeric/statistics/estimate.js'

/** What a figure measures: decides how fine it may be told, however narrow its interval is. */
export type FigureKind = 'power' | 'time' | 'percent' | 'score' | 'any'

/** The kind that a unit stands for. A score may have any unit, a second too: who prints one says so. */
export function kindOfUnit(unit: string): FigureKind {
  return QUANTITIES[unit] ?? 'any'
}

const QUANTITIES: Readonly<Record<string, FigureKind>> = {
  W: 'power',
  s: 'time',
  '%': 'percent',
  Wh: 'score',
  'K/W': 'score',
}

/**
 * Decimals that a figure may have at the most, whatever its interval: sensors of power and temperature drift by more than
 * noise shows, runs repeat to a tenth of a per cent at best, and a log of one sample a second knows no tenth of a second.
 *
 * - power: 0.1 W from 10 W up, three digits below, and never finer than a thousandth or so
 * - time: 1 s from 10 s up, 0.1 s below
 * - percent: 0.1
 * - score, and what follows from one (per watt, energy, ratio): the power of ten next to a thousandth of it
 *
 * Common practice, no source.
 */
export function finestDecimals(value: number, kind: FigureKind): number {
  const size = Math.abs(value)
  switch (kind) {
    case 'power':
      return size >= 10 ? Math.min(1, thousandth(size)) : 2 - Math.floor(Math.log10(Math.max(size, 0.1)))
    case 'time':
      return size >= 9.95 ? 0 : 1
    case 'percent':
      return 1
    case 'score':
      return size === 0 ? 3 : thousandth(size)
    case 'any':
      return 12
  }
}

function thousandth(size: number): number {
  return Math.round(3 - Math.log10(size))
}

/**
 * Decimals of an estimate; negative for tens, hundreds and so on: what its interval supports, and no more than its kind allows.
 *
 * The last digit is the power of ten just below two thirds of the half-width, so a half-width reads as one or two digits (the
 * rounding rule of JCGM 100:2008, 7.2.6: one or two digits of an uncertainty).
 */
export function supportedDecimals(estimate: Estimate, kind: FigureKind = 'any'): number {
  if (isGiven(estimate)) return Math.min(exactDecimals(estimate.value), finestDecimals(estimate.value, kind))
  const halfWidth = (estimate.high - estimate.low) / 2
  const supported = -Math.floor(Math.log10(halfWidth / 1.5))
  return Math.min(supported, mostDecimals(estimate.value), finestDecimals(estimate.value, kind))
}

/** A figure without spread was given by the user or follows exactly from what was given: it needs no interval. */
export function isGiven(estimate: Estimate): boolean {
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

/** Decimals that a figure was given with, of at most so many digits. */
export function exactDecimals(value: number, most = 5): number {
  if (Math.abs(value) < NOTHING) return 0
  const [, fraction = ''] = Number(value.toPrecision(most)).toString().split('.')
  return fraction.length
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
