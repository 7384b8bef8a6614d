import { parseUnit } from '../../units.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { type MachinePart, partsOf } from './machinePart.js'
import { holdsNumbers, type MeasuredColumn, measuredColumns } from './measuredColumn.js'

/**
 * The column that says how busy the chip is, in %, as evidence; a family of cores as their mean. Of several alike the first.
 *
 * @param part - what the chosen power belongs to
 */
export function chooseUse(header: Header, part: MachinePart): MeasuredColumn | undefined {
  const shares = measuredColumns(header, ['share'])
  const named = header.columns
    .filter(
      ({ unit, name, index }) =>
        unit === undefined && USE.test(name) && !shares.some((s) => s.column.index === index),
    )
    .filter((column) => holdsNumbers(header, column) && holdsShares(header, column))
    .map((column) => ({ column, unit: PERCENT }))
  const ranked = [...shares, ...named]
    .map((measured) => ({ measured, rank: rankOf(measured.column.name, part) }))
    .filter(({ rank }) => rank < NEVER)
  const best = Math.min(...ranked.map(({ rank }) => rank))
  const chosen = ranked.filter(({ rank }) => rank === best).map(({ measured }) => measured)
  const [first, ...rest] = chosen
  if (first === undefined || best !== CORES) return first
  const siblings = rest.map(({ column }) => column)
  return siblings.length === 0 ? first : { ...first, siblings }
}

const PERCENT = parseUnit('%')!
const USE = /\b(use|usage|used|util|utili[sz]ation|busy|auslastung|charge cpu|uso)\b/
const LOAD = /\b(use|usage|used|util|utili[sz]ation|busy|load|activity|auslastung|last|uso)\b/
const OTHER =
  /mem|\bram\b|vram|dimm|fan|disk|ssd|nvme|drive|battery|\bcharge|power|watt|limit|\btdp\b|throttl|swap|\bnet|wifi|encod|decod|video|humid|volume|\bbus\b|\bidle\b|iowait|steal|error|residency|brightness|pump|\bmax\b|\bmin\b|copy|display|\bc ?\d\b/
const NEVER = 90
const CORES = 50

function rankOf(name: string, part: MachinePart): number {
  const parts = partsOf(name)
  if (OTHER.test(name) || (parts.size > 0 && !parts.has(part))) return NEVER
  if (/\b(core|cpu|thread) ?\d/.test(name)) return CORES
  if (!LOAD.test(name)) return parts.has(part) ? 40 : NEVER
  return /total|gesamt|overall/.test(name) ? 10 : 20
}

/** Shares of a whole in %: numbers from 0 to 100, some above 1. */
function holdsShares(header: Header, { index }: Column): boolean {
  const values = header.rows.map((row) =>
    Number.parseFloat((row[index] ?? '').slice(0, 40).replace(',', '.')),
  )
  const known = values.filter((value) => !Number.isNaN(value))
  return known.every((value) => value >= 0 && value <= 100)
}
