import type { CurvePosterior } from './curvePosterior.js'
import { leaveLevelsOut } from './leaveLevelsOut.js'
import { type MeasuredLevel, missesOfForms, type SimpleForm } from './simpleForms.js'

/** How well the curve foretells levels that are left out, beside what simple forms do. */
export interface CurveCriticism {
  /** Powers that can be told apart, and how many of them were left out in turn. */
  readonly levels: number
  readonly leftOut: number
  /** Mean distance between score foretold and measured, per cent, one level left out at a time. */
  readonly missPct: number
  /** The same of each simple form, best first. */
  readonly forms: readonly { readonly form: SimpleForm; readonly missPct: number }[]
}

/**
 * Leaves one level out at a time and foretells it, by the curve and by simple forms.
 *
 * @param levels - runs at each power that can be told apart
 * @param asked - false: only what can widen the curve's intervals is wanted
 * @returns null for fewer than four levels: nothing could be said against a parabola
 */
export function criticiseCurve(
  posterior: CurvePosterior,
  levels: readonly (readonly number[])[],
  {
    measured,
    asked = true,
  }: { readonly measured: readonly MeasuredLevel[]; readonly asked?: boolean | undefined },
): CurveCriticism | null {
  if (levels.length < (asked ? LEAST_LEVELS : TELLING_LEVELS)) return null
  const leftOut = evenly(levels.length)
  const forms = [...missesOfForms(measured, leftOut)].map(([form, misses]) => ({
    form,
    missPct: missPct(misses),
  }))
  return {
    levels: levels.length,
    leftOut: leftOut.length,
    missPct: missPct(
      leaveLevelsOut(
        posterior,
        leftOut.map((out) => levels[out]!),
      ),
    ),
    forms: forms.sort((a, b) => a.missPct - b.missPct),
  }
}

const LEAST_LEVELS = 4
/** Of more levels, so many are left out, the lowest and the highest among them: enough for a mean, and `fit` stays as fast. */
const MOST_LEFT_OUT = 6

function evenly(count: number): readonly number[] {
  const out = Math.min(count, MOST_LEFT_OUT)
  return Array.from({ length: out }, (_, i) => Math.round((i * (count - 1)) / (out - 1)))
}

/**
 * What the curve misses more than the best simple form does, as a relative deviation that the curve's intervals are widened by:
 * both misses are deviations of independent causes at worst, so their squares differ. 0 unless the form is clearly better.
 */
export function formsAdvantage({ levels, missPct, forms }: CurveCriticism): number {
  const best = forms[0]!.missPct
  if (levels < TELLING_LEVELS || missPct < CLEARLY * best || missPct - best < LEAST_PCT) return 0
  return Math.sqrt(missPct ** 2 - best ** 2) / 100
}

/** With fewer levels one of five forms is better by chance. */
const TELLING_LEVELS = 5
/** Half as much again, and by half a per cent of the score: judgements, no source. */
const CLEARLY = 1.5
const LEAST_PCT = 0.5

function missPct(misses: readonly number[]): number {
  return (100 * misses.reduce((sum, miss) => sum + Math.abs(Math.expm1(miss)), 0)) / misses.length
}

/**
 * Runs by mean powers that can be told apart, rising: the numbers of the runs at each.
 *
 * @param meansW - mean power of each run, W
 * @example powerLevels([44, 61, 44.5]) // [[0, 2], [1]]
 */
export function powerLevels(meansW: readonly number[]): readonly (readonly number[])[] {
  const order = meansW.map((_, k) => k).sort((a, b) => meansW[a]! - meansW[b]!)
  const levels: number[][] = []
  let lowestW = 0
  for (const k of order) {
    if (meansW[k]! > LEVEL_APART * lowestW) {
      levels.push([])
      lowestW = meansW[k]!
    }
    levels.at(-1)!.push(k)
  }
  return levels
}

/** A held level moves by less than this by itself; common practice, no source. */
const LEVEL_APART = 1.03
