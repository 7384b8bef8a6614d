import { findReasonBits, parseReasonBits, type ReasonBits } from '../reasons/reasonBits.js'
import { MASK, YES } from '../reasons/reasonColumn.js'
import { isReasonWord, saysNothing } from '../reasons/reasonFlags.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import type { Repair } from '../trace.js'
import { type MachinePart, partsOf } from './machinePart.js'
import type { SeriesColumn } from './measuredColumn.js'

interface Reasons {
  readonly series: SeriesColumn | undefined
  readonly notes: readonly Repair[]
}

/**
 * Finds the columns in which the machine says what held it: words, a mask whose bits the header or the user names, or one
 * yes-or-no column for each reason. A mask without names is told and left alone.
 *
 * @param part - what the chosen power belongs to: another part's reasons are none
 * @param reasonBits - names of the bits as the user gave them
 */
export function chooseReasons(header: Header, part: MachinePart, reasonBits: string | undefined): Reasons {
  const given = reasonBits === undefined ? undefined : parseReasonBits(reasonBits)
  const candidates = header.columns.filter(
    (column) =>
      column.unit === undefined &&
      fitsPart(column, part) &&
      (REASON_NAME.test(column.name) || namesLimits(header, column)),
  )
  const masks = candidates.filter((column) => isMask(header, column))
  const words = candidates.filter((column) => saysReasons(header, column))
  const mask = masks.find((column) => bitsOf(column, given) !== undefined)
  const chosen = words[0] ?? mask
  const unnamed = mask === undefined ? masks : []
  const notes = unnamed.slice(0, 1).map((column) => sayUnnamed(column, header))
  if (chosen === undefined) return { series: undefined, notes }
  const siblings = words.length > 1 ? { siblings: words.slice(1) } : {}
  const bits = chosen === mask ? bitsOf(chosen, given) : undefined
  return {
    series: { quantity: 'reasons', column: chosen, unit: NO_UNIT, bits, ...siblings },
    notes: words.length === 0 ? notes : [],
  }
}

const NO_UNIT = { symbol: '', dimension: 'share', scale: 1, offset: 0 } as const
const REASON_NAME =
  /reason|\bwhy\b|\bheld\b|hold(ing|s)? back|slow(ed|s|ing| down|down)\b|throttl|limit(ed|er|ing)\b|limited by|bottleneck|constraint|exceeded|prochot|\bcapp?ed\b|grund|drossel/

function fitsPart(column: Column, part: MachinePart): boolean {
  const parts = partsOf(column.name)
  return parts.size === 0 || parts.has(part)
}

/** Whatever the header says: each cell is the name of a limit or says that there is none. */
function namesLimits(header: Header, column: Column): boolean {
  const named = cellsOf(header, column).filter((cell) => !saysNothing(cell))
  return named.length > 0 && named.every((cell) => LIMIT_CELL.test(cell) && isReasonWord(cell))
}

const LIMIT_CELL = /\b(limit|limited|cap|capped|throttl\w*|slow ?down)\b/i

function cellsOf(header: Header, column: Column): string[] {
  return header.rows.map((row) => (row[column.index] ?? '').trim()).filter((cell) => cell !== '')
}

/** Whole numbers above 1 somewhere, or written as a mask is: under a header that speaks of bits, or hexadecimal. */
function isMask(header: Header, column: Column): boolean {
  const cells = cellsOf(header, column)
  if (cells.length === 0 || !cells.every((cell) => MASK.test(cell))) return false
  return (
    cells.every((cell) => /^0x/i.test(cell)) ||
    /\bbits?\b|\bmask\b|\bflags?\b|reason/.test(column.name) ||
    cells.some((cell) => Number(cell) > 1)
  )
}

/** Words of reasons; or yes and no, or 1 and 0, under the name of a reason. */
function saysReasons(header: Header, column: Column): boolean {
  const cells = cellsOf(header, column)
  if (cells.length === 0 || isMask(header, column)) return false
  const named = isReasonWord(column.name)
  const fits = (cell: string) => isReasonWord(cell) || (named && (YES.test(cell) || /^[01]$/.test(cell)))
  return cells.filter(fits).length > cells.length / 2
}

function bitsOf(column: Column, given: ReasonBits | undefined): ReasonBits | undefined {
  return given ?? findReasonBits(column.header)
}

function sayUnnamed(column: Column, header: Header): Repair {
  return {
    kind: 'reason-bits-unnamed',
    count: 1,
    firstLine: header.line > 0 ? header.line : null,
    detail: `column "${column.header}" is a bit mask whose bits have no names; not used as evidence: name them with --reason-bits "4=power 8=heat"`,
  }
}
