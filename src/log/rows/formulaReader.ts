import { AS_WRITTEN, type BoundFormula, type MeasuredColumn } from '../columns/measuredColumn.js'
import type { DecimalMark } from '../table/parseNumber.js'
import type { RecordScanner } from '../table/recordScanner.js'
import { NumberColumn } from './numberColumn.js'

/** Decimal mark of a column. */
export type MarkOf = (index: number) => DecimalMark

/** Reads one number of a row: a column's, or what a formula makes of several columns. */
export interface ValueReader {
  readonly numbers: readonly NumberColumn[]
  /** Value of a record of plain figures; NaN when it is anything else. */
  readonly readPlain: (bytes: Uint8Array, record: RecordScanner) => number
  /** Value of any record, whatever is in its cells. */
  readonly read: (bytes: Uint8Array, record: RecordScanner) => number
  /** Value of any row, from its cells as text; NaN when there is none. */
  readonly parse: (cells: readonly string[]) => number
}

/** Reads a column, or works out a formula row by row. */
export function valueReader({ column, unit, formula }: MeasuredColumn, markOf: MarkOf): ValueReader {
  if (formula !== undefined) return formulaReader(formula, markOf)
  const { index } = column
  const number = new NumberColumn(index, { dimension: unit.dimension, unit, mark: markOf(index) })
  return {
    numbers: [number],
    readPlain: (bytes, record) => number.readPlain(bytes, record),
    read: (bytes, record) => number.read(bytes, record),
    parse: (cells) => number.parse(cells[index] ?? ''),
  }
}

function formulaReader({ formula, inputs }: BoundFormula, markOf: MarkOf): ValueReader {
  const numbers = inputs.map(({ column: { index }, unit = AS_WRITTEN }) => {
    return new NumberColumn(index, { dimension: unit.dimension, unit, mark: markOf(index) })
  })
  const values = new Float64Array(numbers.length)
  const from = (cellValue: (column: NumberColumn) => number) => {
    // By place: this runs once a row, and iterators are slow until they are compiled.
    for (let k = 0; k < numbers.length; k++) values[k] = cellValue(numbers[k]!)
    return formula.evaluate(values)
  }
  return {
    numbers,
    readPlain: (bytes, record) => from((column) => column.readPlain(bytes, record)),
    read: (bytes, record) => from((column) => column.read(bytes, record)),
    parse: (cells) => from((column) => column.parse(cells[column.index] ?? '')),
  }
}
