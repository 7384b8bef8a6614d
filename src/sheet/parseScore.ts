import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'
import type { Workload } from '../physics/chip/chip.js'
import { parseQuantity } from '../units.js'

/**
 * Reads a run's score: a plain number in the workload's unit, digits in groups (`15 210`), with the unit behind it
 * (`15210 points`), or, when lower is better and the unit is `s` or `min`, any duration (`4.5 min`, `04:30`).
 *
 * A comma is refused: `15,210` is fifteen thousand to some readers and fifteen to others.
 *
 * @returns the score in the workload's own unit, > 0
 * @throws InputError `score-invalid`
 * @example parseScore('04:30', { name: 'build', score: 's', better: 'lower' }) // 270
 */
export function parseScore(text: string, workload: Workload): number {
  if (text.length > LONGEST_SCORE) throw invalid(text, workload)
  const bare = withoutUnit(text.trim(), workload.score)
  const perUnit = workload.better === 'lower' ? secondsPer(workload.score) : undefined
  const value = plainNumber(bare) ?? (perUnit === undefined ? undefined : durationIn(text, workload, perUnit))
  if (value === undefined || !Number.isFinite(value) || value <= 0) throw invalid(text, workload)
  return value
}

/** What is no duration is told as a score that can't be read: nobody who mistyped a score looks for a time. */
function durationIn(text: string, workload: Workload, perUnit: number): number {
  try {
    return parseQuantity(text.trim(), 'time') / perUnit
  } catch (error) {
    throw error instanceof InputError ? invalid(text, workload) : error
  }
}
/** No score is longer; the patterns of a number cost the square of a text's length. */
const LONGEST_SCORE = 80

/** Seconds in the unit of a time score; undefined for any other word. */
export function secondsPer(unit: string): number | undefined {
  if (/^(s|sec|secs|seconds?)$/i.test(unit)) return 1
  if (/^(m|min|mins|minutes?)$/i.test(unit)) return 60
  if (/^(h|hours?)$/i.test(unit)) return 3600
  if (/^ms$/i.test(unit)) return 0.001
  return undefined
}

function plainNumber(text: string): number | undefined {
  const ungrouped = /^\d{1,3}([ _'’\u00a0\u202f]\d{3})+(\.\d+)?$/.test(text)
    ? text.replace(/[ _'’\u00a0\u202f]/g, '')
    : text
  return /^\+?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(ungrouped) ? Number(ungrouped) : undefined
}

function withoutUnit(text: string, unit: string): string {
  return text.toLowerCase().endsWith(unit.toLowerCase()) ? text.slice(0, -unit.length).trim() : text
}

function invalid(text: string, workload: Workload): InputError {
  const comma = text.includes(',') ? 'write thousands without a comma and decimals with a point' : undefined
  return new InputError(
    'score-invalid',
    `expected a score above zero in ${workload.score}, got \`${plainText(text)}\``,
    {
      remedy: comma ?? 'give a plain number, such as `score: 15210`',
    },
  )
}
