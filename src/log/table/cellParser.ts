import type { Dimension, Unit } from '../../units.js'
import { parseUnit } from '../../units.js'
import { type ElectricUnit, parseElectricUnit } from './electricUnit.js'
import { type DecimalMark, parseNumber } from './parseNumber.js'

/** What the cells of a column measure: of formulas also voltages and currents. */
export type CellDimension = Dimension | ElectricUnit['dimension']

/**
 * Parser for the cells of a column: numbers in the unit of its dimension (W, J, s, degrees C, Hz), NaN for a cell
 * without a number. A unit in the cell (`800 mW`) goes before the header's.
 *
 * @param unit - of the header; a cell without any unit then is NaN
 */
export function cellParser(
  dimension: CellDimension,
  unit: Unit | ElectricUnit | undefined,
  mark: DecimalMark,
): (cell: string) => number {
  const scale = unit?.scale ?? Number.NaN
  const offset = unit?.offset ?? 0
  return (cell) => {
    if (cell.length > LONGEST_CELL) return Number.NaN
    const text = cell.trim()
    if (text === '') return Number.NaN
    const value = parseNumber(text, mark)
    return Number.isNaN(value) ? parseWithUnit(text, dimension, mark) : (value + offset) * scale
  }
}

/** Unit that a cell carries, if it is of the dimension. */
export function unitInCell(cell: string, dimension: Dimension): Unit | undefined {
  if (cell.length > LONGEST_CELL) return undefined
  const word = NUMBER_AND_UNIT.exec(cell)?.[2]
  const unit = word === undefined ? undefined : parseUnit(word)
  return unit?.dimension === dimension ? unit : undefined
}

/** Whether a cell says that there is no value (`N/A`, `-`, `NaN`), rather than something else. */
export function saysMissing(cell: string): boolean {
  return cell.length <= LONGEST_CELL && MISSING.test(cell.trim())
}

/** A longer cell is text, and no pattern of a number, a time or a unit is tried on it: some cost the square of its length. */
export const LONGEST_CELL = 256

const NUMBER_AND_UNIT =
  /^\s*([-+−]?[\d.,'’ \u00a0\u202f]*\d[.,]?(?:[eE][-+]?\d+)?)\s*([^\d\s.,+-][^\d]{0,20}?)\s*$/
const MISSING =
  /^(|[-–—.?*#_]+|#?n\.?[/.]?[avd]\.?!?|[-+]?nan(\([^)]*\))?|null|nil|none|undefined|missing|unknown|[-+]?inf(inity)?|err(or)?|#value!|#div\/0!|#num!|off|disabled)$/i

function parseWithUnit(text: string, dimension: CellDimension, mark: DecimalMark): number {
  const parts = NUMBER_AND_UNIT.exec(text)
  const isElectric = dimension === 'voltage' || dimension === 'current'
  const parse = isElectric ? parseElectricUnit : parseUnit
  const unit = parts === null ? undefined : parse(parts[2]!)
  if (unit === undefined || unit.dimension !== dimension) return Number.NaN
  return (parseNumber(parts![1]!.trim(), mark) + unit.offset) * unit.scale
}
