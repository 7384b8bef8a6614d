import type { MeasuredColumn, SeriesColumn } from '../columns/measuredColumn.js'
import { ReasonColumn } from '../reasons/reasonColumn.js'
import type { RecordScanner } from '../table/recordScanner.js'
import { type MarkOf, valueReader } from './formulaReader.js'
import { NumberColumn } from './numberColumn.js'

/** Reads what a row says of one quantity besides time and power, from one column or from a family of them. */
export interface SeriesReader {
  readonly indices: readonly number[]
  /** The columns that hold plain numbers, to learn their decimal mark. */
  readonly numbers: readonly NumberColumn[]
  /** Value of a record; NaN when there is none. */
  readonly read: (bytes: Uint8Array, record: RecordScanner) => number
  /** The same of a row's cells as text. */
  readonly parse: (cells: readonly string[]) => number
}

/** Of a family the hottest temperature, and the mean of anything else. */
export function seriesReader(measured: SeriesColumn, markOf: MarkOf): SeriesReader {
  if (measured.quantity === 'reasons') return reasonsReader(measured)
  if (measured.quantity === 'rate') return paceReader(measured, markOf)
  const numbers = numberColumns(measured, markOf)
  const combined = isTemperature(measured) ? hottest : meanKnown
  return {
    indices: numbers.map(({ index }) => index),
    numbers,
    read: (bytes, record) => combined(numbers, (column) => column.read(bytes, record)),
    parse: (cells) => combined(numbers, (column) => column.parse(cells[column.index] ?? '')),
  }
}

function paceReader(measured: SeriesColumn, markOf: MarkOf): SeriesReader {
  const { numbers, read, parse } = valueReader(measured, markOf)
  return { indices: numbers.map(({ index }) => index), numbers, read, parse }
}

function isTemperature({ quantity }: SeriesColumn): boolean {
  return quantity === 'temperature' || quantity === 'sensor'
}

/** The column and its siblings as columns of numbers. */
function numberColumns({ column, siblings = [], unit }: MeasuredColumn, markOf: MarkOf): NumberColumn[] {
  return [column, ...siblings].map(
    ({ index }) => new NumberColumn(index, { dimension: unit.dimension, unit, mark: markOf(index) }),
  )
}

function reasonsReader({ column, siblings = [], bits }: SeriesColumn): SeriesReader {
  const columns = [column, ...siblings].map((each) => new ReasonColumn(each, bits))
  return {
    indices: columns.map(({ index }) => index),
    numbers: [],
    read: (bytes, record) => allFlags(columns, (each) => each.read(bytes, record)),
    parse: (cells) => allFlags(columns, (each) => each.parse(cells[each.index] ?? '')),
  }
}

type ValueOf<C> = (column: C) => number

function allFlags(columns: readonly ReasonColumn[], cellValue: ValueOf<ReasonColumn>): number {
  let all = Number.NaN
  for (const column of columns) {
    const flags = cellValue(column)
    if (!Number.isNaN(flags)) all = Number.isNaN(all) ? flags : all | flags
  }
  return all
}

function hottest(columns: readonly NumberColumn[], cellValue: ValueOf<NumberColumn>): number {
  let highest = Number.NaN
  // By place: this runs once a row, and iterators are slow until they are compiled.
  for (let k = 0; k < columns.length; k++) {
    const value = cellValue(columns[k]!)
    if (!Number.isNaN(value) && !(value <= highest)) highest = value
  }
  return highest
}

function meanKnown(columns: readonly NumberColumn[], cellValue: ValueOf<NumberColumn>): number {
  let sum = 0
  let known = 0
  for (let k = 0; k < columns.length; k++) {
    const value = cellValue(columns[k]!)
    if (Number.isNaN(value)) continue
    sum += value
    known++
  }
  return sum / known
}
