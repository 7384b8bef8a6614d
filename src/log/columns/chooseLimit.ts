import type { Header } from '../table/findHeader.js'
import { type MachinePart, partsOf } from './machinePart.js'
import { holdsNumbers, type MeasuredColumn, measuredColumns } from './measuredColumn.js'

/**
 * The column of the power limit that is set, as evidence: one that is in force before one that may be, a lasting one before a
 * short one. Never a reason to refuse a log: of several alike the first.
 *
 * @param part - what the chosen power belongs to
 * @param power - the chosen power; a limit without a unit has its
 */
export function chooseLimit(
  header: Header,
  part: MachinePart,
  power: MeasuredColumn,
): MeasuredColumn | undefined {
  const measured = measuredColumns(header, ['power'])
  const unitless = header.columns
    .filter(({ unit, name }) => unit === undefined && POWER.test(name))
    .filter(
      (column) =>
        holdsNumbers(header, column) && !measured.some((other) => other.column.index === column.index),
    )
    .map((column) => ({ column, unit: power.unit }))
  const limits = [...measured, ...(power.unit.dimension === 'power' ? unitless : [])].filter(
    ({ column: { index, name } }) =>
      index !== power.column.index && LIMIT.test(name) && !BOUND.test(name) && fits(name, part),
  )
  const ranked = limits.map((measured) => ({ measured, rank: rankOf(measured.column.name) }))
  const best = Math.min(...ranked.map(({ rank }) => rank))
  return ranked.find(({ rank }) => rank === best)?.measured
}

const POWER = /power|watt|leistung|\bpl ?[12]\b|\btdp\b/
const LIMIT = /limit|\bcap\b|capped|\bpl ?[1-4]?\b|\btdp\b|budget|setpoint|allowed/
// What a limit could be set to, and what is left of one.
const BOUND =
  /\b(min|minimum|max|maximum|default|hardware|factory|rated|headroom|margin|reached|exceeded|peak)\b/

function fits(name: string, part: MachinePart): boolean {
  const parts = partsOf(name)
  return parts.size === 0 || parts.has(part)
}

const RANKS: readonly (readonly [RegExp, number])[] = [
  [/enforced|in force|effective|active|current/, 0],
  [/short|fast|burst|\bpl ?[2-4]\b/, 3],
  [/long|slow|sustained|\bpl ?1\b/, 1],
  [/\btdp\b|budget/, 2],
]

function rankOf(name: string): number {
  return RANKS.find(([words]) => words.test(name))?.[1] ?? 1
}
