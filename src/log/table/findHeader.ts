import { InputError } from '../../errors.js'
import { parseUnit } from '../../units.js'
import { LONGEST_CELL } from './cellParser.js'
import { type Column, describeColumn } from './describeColumn.js'
import { findPairs } from './findPairs.js'
import { HEAD_LINES, headOf } from './headOf.js'
import { missingHeader } from './missingHeader.js'
import { BLANKS, DELIMITERS, type Delimiter } from './recordScanner.js'
import { splitRecords } from './splitRecords.js'

/** Where the table begins, and what its columns are. */
export interface Header {
  readonly delimiter: Delimiter
  /** Line of the header, from 1, and of the row of units below it when there is one. */
  readonly line: number
  readonly unitsLine: number | null
  readonly cells: readonly string[]
  readonly columns: readonly Column[]
  /** The first rows below the header, to look at what the columns hold. */
  readonly rows: readonly (readonly string[])[]
}

/**
 * Finds the header among whatever comes before it: for each delimiter, the line with a power-like column (by unit, by
 * name, or by the units in the cells below) under which most rows hold a number. The earliest line wins among equals.
 *
 * @param text - the log
 * @param named - columns that the user named for the power, which count as power-like
 * @throws InputError `log-empty`, `header-missing`, `line-too-long`, `too-many-columns`
 */
export function findHeader(text: string, named: readonly string[] = []): Header {
  if (text.trim() === '')
    throw new InputError('log-empty', 'the log is empty', { remedy: 'log again, or give another file' })
  // Most logs begin at once; only where that is not clear is a long preamble looked through.
  const soon = bestOf(headOf(text, FEW_LINES), named)
  const best = soon !== undefined && soon.score >= CERTAIN ? soon : bestOf(headOf(text, HEAD_LINES), named)
  const pairs = best === undefined ? findPairs(headOf(text, FEW_LINES)) : undefined
  if (pairs !== undefined) return pairs
  if (best === undefined) throw missingHeader(text)
  return best.header
}

function bestOf(head: string, named: readonly string[]): Scored | undefined {
  const delimiters = DELIMITERS.filter((delimiter) => head.includes(delimiter))
  const best = bestAmong(head, delimiters, named)
  if (best !== undefined && best.score >= CERTAIN && best.header.cells.length > 1) return best
  // One column may need no delimiter, and what stands in its numbers is none.
  const [fallback] = DELIMITERS
  const others = delimiters.includes(fallback) ? delimiters : [fallback, ...delimiters]
  return bestAmong(head, [...others, ...BLANKS], named)
}

function bestAmong(
  head: string,
  delimiters: readonly Delimiter[],
  named: readonly string[],
): Scored | undefined {
  let best: Scored | undefined
  for (const delimiter of delimiters) {
    const found = bestIn(head, delimiter, named)
    if (found !== undefined && (best === undefined || found.score > best.score)) best = found
  }
  return best
}

interface Scored {
  readonly header: Header
  readonly score: number
}

interface Record {
  readonly cells: readonly string[]
  readonly line: number
  readonly isEmpty: boolean
}

const FEW_LINES = 120
// A limit against input that is no log: the longest header seen in practice has a few hundred columns.
const MOST_COLUMNS = 20_000
const ROWS_BELOW = 60
const ROWS_SCORED = 12
// Score of a header with a full count of rows below it.
const CERTAIN = 1000 * ROWS_SCORED

const POWER_NAME = /power|watt|leistung|puissance|potencia|potenza|moc\b|effekt|мощность|功率|電力|电力/i

function bestIn(head: string, delimiter: Delimiter, named: readonly string[]): Scored | undefined {
  const records: Record[] = []
  splitRecords(head, delimiter, (cells, line) =>
    records.push({ cells, line, isEmpty: cells.every((cell) => cell.trim() === '') }),
  )
  let best: Scored | undefined
  for (let at = 0; at < records.length; at++) {
    for (const unitsRow of [false, true]) {
      const found = scoreAt(records, at, { unitsRow, delimiter, named })
      if (found === undefined) continue
      // A header repeated further down is the same header, and the table begins at the first.
      if (best !== undefined && isRepeated(found.header, best.header)) {
        best = { header: best.header, score: Math.max(best.score, found.score) }
      } else if (best === undefined || found.score > best.score) best = found
    }
    if (best !== undefined && best.score >= CERTAIN) break
  }
  return best
}

function isRepeated(a: Header, b: Header): boolean {
  if (a.line === b.line) return false
  return a.cells.length === b.cells.length && a.cells.every((cell, i) => cell === b.cells[i])
}

interface HeaderForm {
  readonly unitsRow: boolean
  readonly delimiter: Delimiter
  readonly named: readonly string[]
}

function scoreAt(
  records: readonly Record[],
  at: number,
  { unitsRow, delimiter, named }: HeaderForm,
): Scored | undefined {
  const isAligned = delimiter.startsWith(' ')
  const { cells, line } = isAligned ? uncommented(records[at]!) : records[at]!
  const next = unitsRow ? records[at + 1] : undefined
  const below = next !== undefined && isAligned ? uncommented(next) : next
  if (unitsRow && (below === undefined || !isUnitsRow(below.cells, cells.length))) return undefined
  if (!cells.some((cell) => /^(?=.*\p{L})[^\d]/su.test(cell.trim()))) return undefined
  if (cells.length > MOST_COLUMNS) {
    throw new InputError(
      'too-many-columns',
      `expected at most ${MOST_COLUMNS} columns, got ${cells.length}`,
      {
        where: { line },
        remedy: 'export fewer sensors',
      },
    )
  }
  const columns = cells.map((cell, index) => describeColumn(cell, index, below?.cells[index]))
  const rows = records
    .slice(at + (unitsRow ? 2 : 1), at + ROWS_BELOW)
    .filter((record) => !record.isEmpty)
    .map((record) => record.cells)
  if (isAligned && !isTable(cells, rows)) return undefined
  if (cells.length === 1 && isCutAlike(cells[0]!, rows)) return undefined
  const fits = Math.max(0, ...columns.filter(isPowerLike).map((column) => countFits(column, cells, rows)))
  if (fits === 0) return undefined
  // Words between a header and its numbers: then it is prose of the preamble ("on mains power"), and the header is below.
  const words = rows.findIndex((row) => row.some(isNumber))
  const known = columns.filter((column) => column.unit !== undefined).length
  const header = { delimiter, line, unitsLine: below?.line ?? null, cells, columns, rows }
  return { header, score: fits * 1000 + Math.min(known, 9) * 10 + (cells.length > 1 ? 1 : 0) - 200 * words }

  function isPowerLike(column: Column): boolean {
    const cell = cells[column.index]!.trim()
    if (cell === '' || !/\p{L}/u.test(cell) || /^[-+]?[\d.,]+\s*\p{L}+$/u.test(cell)) return false
    if (named.some((name) => isNamed(column, name))) return true
    const dimension = column.unit?.dimension
    if (dimension === 'power' || dimension === 'energy') return true
    return (
      dimension === undefined &&
      (POWER_NAME.test(cell) || rows.slice(0, 3).some((row) => holdsWatts(row[column.index])))
    )
  }
}

/** The cells of a line that begins with `#`, without it. */
export function uncommented<R extends { readonly cells: readonly string[] }>(record: R): R {
  const [first, ...rest] = record.cells
  if (!first?.startsWith('#')) return record
  const bare = first.slice(1)
  return { ...record, cells: bare === '' ? rest : [bare, ...rest] }
}

/** Blanks set columns apart only where rows have as many cells as there are names, and no cell is a unit alone. */
function isTable(names: readonly string[], rows: readonly (readonly string[])[]): boolean {
  const first = rows.slice(0, ROWS_SCORED)
  if (names.length < 2 || names.some((name) => /^[[({<]/.test(name))) return false
  if (first.filter((row) => row.length === names.length).length < 0.6 * first.length) return false
  return !first.some((row) => row.some((cell) => !/\d/.test(cell) && parseUnit(cell) !== undefined))
}

/** Whether one column is several: its name holds a delimiter as often as most of its cells do. A short log with a broken row would else be read as decimal commas. */
function isCutAlike(name: string, rows: readonly (readonly string[])[]): boolean {
  return DELIMITERS.some((delimiter) => {
    const parts = name.split(delimiter).length
    const alike = rows.filter(([cell]) => cell?.split(delimiter).length === parts)
    return parts > 1 && alike.length > rows.length / 2
  })
}

function isUnitsRow(cells: readonly string[], columns: number): boolean {
  if (Math.abs(cells.length - columns) > 1) return false
  let units = 0
  for (const cell of cells) {
    const text = cell.trim().replace(/^[[({<](.*)[\])}>]$/, '$1')
    if (/\d/.test(text)) return false
    if (parseUnit(text) !== undefined) units++
  }
  return units > 0
}

function isNamed({ header, name }: Column, asked: string): boolean {
  const key = asked.trim().toLowerCase()
  return key !== '' && (header.toLowerCase().includes(key) || name === key)
}

function countFits(column: Column, header: readonly string[], rows: readonly (readonly string[])[]): number {
  let fits = 0
  for (const row of rows) {
    if (fits === ROWS_SCORED) break
    if (sameWidth(row, header) && isNumber(row[column.index] ?? '')) fits++
  }
  return fits
}

const NUMBER_WITH_UNIT = /^\s*[-+−]?[\d.,][\d.,'’\s]*(?:[eE][-+]?\d+)?\s*(?:[µμ]?\p{L}{1,3})?\s*$/u

function isNumber(cell: string): boolean {
  return cell.length <= LONGEST_CELL && NUMBER_WITH_UNIT.test(cell)
}

function holdsWatts(cell: string | undefined): boolean {
  const unit = /\d\s*([µμ]?[a-zA-Z]{1,3})\s*$/.exec((cell ?? '').slice(0, LONGEST_CELL))?.[1]
  const dimension = unit === undefined ? undefined : parseUnit(unit)?.dimension
  return dimension === 'power' || dimension === 'energy'
}

/** Equal numbers of cells, but for empty ones at the end. */
function sameWidth(row: readonly string[], header: readonly string[]): boolean {
  return (
    Math.abs(row.length - header.length) <= 1 && usedWidth(row) <= Math.max(usedWidth(header), header.length)
  )
}

function usedWidth(cells: readonly string[]): number {
  let width = cells.length
  while (width > 0 && cells[width - 1]!.trim() === '') width--
  return width
}
