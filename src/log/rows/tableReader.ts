import { type ChosenColumns, fallbackOf } from '../columns/chooseColumns.js'
import type { TimeSource } from '../columns/chooseTime.js'
import type { Header } from '../table/findHeader.js'
import { decodeText } from '../table/logEncoding.js'
import type { DecimalMark } from '../table/parseNumber.js'
import { decodeCell, recordCells } from '../table/recordCells.js'
import { RecordScanner } from '../table/recordScanner.js'
import { StampColumns } from '../time/stampColumns.js'
import type { WrittenTimes } from '../time/writtenTimes.js'
import type { SkippedLine } from '../trace.js'
import { DeviceRows } from './deviceRows.js'
import { type MarkOf, type ValueReader, valueReader } from './formulaReader.js'
import { NumberColumn } from './numberColumn.js'
import { RowKind } from './rowKind.js'
import { type SampleRow, SampleStore } from './sampleStore.js'
import { type SeriesReader, seriesReader } from './seriesReader.js'
import { SkippedLines } from './skippedLines.js'

/** Numbers of the chosen columns, one row a sample, and the lines that are no samples. */
export interface TableRows {
  readonly lines: Int32Array
  readonly written: WrittenTimes
  /** W, or J of a counter; NaN where a cell holds no number. */
  readonly power: Float64Array
  /** What else was measured, in the order of the chosen columns. */
  readonly series: readonly Float64Array[]
  readonly skipped: readonly SkippedLine[]
  /** How many more were passed over than are listed. */
  readonly unlisted: number
  /** All cells of the first sample. */
  readonly first: readonly string[]
  /** Rows of other machines. */
  readonly otherRows: number
  /** How many rows of the file a row stands for at most: more than 1 when the log was too long to be held. */
  readonly rowsInOne: number
}

export interface TableOptions {
  /** Seconds between samples when no time column was chosen. */
  readonly everyS: number | undefined
  /** Decimal mark of each column of numbers; the file's where it is not named. */
  readonly marks: ReadonlyMap<number, DecimalMark>
  /** Rows held in memory at a time. */
  readonly mostRows?: number | undefined
}

/**
 * Goes through a table once and keeps the numbers of the chosen columns. A row is a sample when its time cell begins
 * like a time and its power cell like a number or a missing value; every other line is passed over with its reason.
 *
 * Rows of plain figures are read from the bytes; all others as text, by rules that give the same for both.
 */
export class TableReader {
  private readonly record: RecordScanner
  private readonly time: NumberColumn | StampColumns | undefined
  private readonly power: ValueReader
  private readonly series: readonly SeriesReader[]
  private readonly rowTest: RowKind
  private readonly store: SampleStore
  private readonly skipped = new SkippedLines()
  private readonly row: SampleRow
  private readonly wanted: number
  private readonly device: DeviceRows | undefined
  private first: readonly string[] | undefined
  private line = 1
  private samples = 0

  constructor(
    private readonly header: Header,
    private readonly chosen: ChosenColumns,
    private readonly options: TableOptions,
  ) {
    this.record = new RecordScanner(header.delimiter)
    const markOf = (index: number) => options.marks.get(index) ?? fallbackOf(chosen, index)
    this.power = valueReader(chosen.power, markOf)
    this.series = chosen.series.map((measured) => seriesReader(measured, markOf))
    this.row = { line: 0, time: 0, day: 0, power: 0, series: new Float64Array(this.series.length) }
    this.time = chosen.time && timeColumns(chosen.time, markOf)
    this.rowTest = new RowKind(header, chosen)
    const times = chosen.time?.columns.map(({ index }) => index) ?? []
    const others = this.series.flatMap(({ indices }) => indices)
    this.device = chosen.device && new DeviceRows(chosen.device)
    this.wanted =
      1 +
      Math.max(
        chosen.device?.column.index ?? 0,
        ...times,
        ...this.power.numbers.map(({ index }) => index),
        ...others,
        ...this.rowTest.indices,
      )
    this.store = new SampleStore({
      hasDays: this.time instanceof StampColumns,
      joinings: chosen.series.map(({ quantity }) => (quantity === 'reasons' ? 'union' : 'mean')),
      isCounter: chosen.power.unit.dimension === 'energy',
      ...(options.mostRows === undefined ? {} : { mostRows: options.mostRows }),
    })
  }

  /**
   * Reads the records in these bytes, of which the first begins where the last call stopped.
   *
   * @param isLast - nothing follows these bytes
   * @returns how many bytes were used up; the rest is the beginning of a record that goes on
   */
  take(bytes: Uint8Array, isLast: boolean): number {
    let at = 0
    while (at < bytes.length) {
      const next = this.record.scan(bytes, at, this.wanted, isLast)
      if (next < 0) break
      const isOther = this.line > this.header.line && this.device?.isOther(bytes, this.record)
      if (!isOther && !this.takePlain(bytes)) this.takeAny(bytes, at, isLast)
      this.line += 1 + this.record.breaks
      at = next
    }
    return at
  }

  /** Decimal marks that the columns read so far speak for, by column. */
  settledMarks(): ReadonlyMap<number, DecimalMark> {
    const columns = [this.time, ...this.power.numbers, ...this.series.flatMap((reader) => reader.numbers)]
    const numbers = columns.filter((column) => column instanceof NumberColumn)
    return new Map(
      numbers.map((column) => [column.index, column.settledMark(fallbackOf(this.chosen, column.index))]),
    )
  }

  finish(): TableRows {
    const { store } = this
    return {
      lines: store.line.subarray(0, store.length),
      written: this.writtenTimes(),
      power: store.power.subarray(0, store.length),
      series: store.series.map((values) => values.subarray(0, store.length)),
      skipped: this.skipped.list(),
      unlisted: this.skipped.unlisted,
      first: this.first ?? [],
      otherRows: this.device?.passedOver ?? 0,
      rowsInOne: store.rowsInOne,
    }
  }

  private writtenTimes(): WrittenTimes {
    const { store, time, chosen } = this
    const times = store.time.subarray(0, store.length)
    if (time instanceof StampColumns) return time.written(store.day!.subarray(0, store.length), times)
    if (chosen.time?.kind === 'days')
      return { seconds: times, scale: 'wall-clock', ofDayS: (row) => times[row]! % DAY_S }
    const scale = chosen.time?.kind === 'epoch' ? 'epoch' : 'elapsed'
    return { seconds: times, scale, ofDayS: () => null }
  }

  /** Keeps a record that is a sample of plain figures; false when it is anything else. */
  private takePlain(bytes: Uint8Array): boolean {
    const { record, row, time } = this
    if (this.first === undefined || record.hasStray) return false
    if (time instanceof StampColumns) {
      if (!time.readPlain(bytes, record)) return false
      row.time = time.secondsOfDay
      row.day = time.day
    } else if (time !== undefined) {
      row.time = time.readPlain(bytes, record)
      if (Number.isNaN(row.time)) return false
    } else row.time = this.samples * this.options.everyS!
    row.power = this.power.readPlain(bytes, record)
    if (Number.isNaN(row.power) || !this.rowTest.isPlainSample(bytes, record)) return false
    // By place: this runs once a row, and iterators are slow until they are compiled.
    for (let k = 0; k < this.series.length; k++) row.series[k] = this.series[k]!.read(bytes, record)
    this.keep()
    return true
  }

  /** Keeps, or passes over, any record. */
  private takeAny(bytes: Uint8Array, at: number, isLast: boolean): void {
    const { record, row, time, line, header } = this
    if (line === header.line) return
    record.scan(bytes, at, Number.POSITIVE_INFINITY, isLast)
    const cells = recordCells(record, (start, end) => decodeCell(bytes, start, end, decodeText))
    if (line < header.line || !this.rowTest.isSample(cells)) {
      this.skipped.add(line, this.rowTest.reasonFor(cells, line))
      return
    }
    this.first ??= cells
    const parseCell = (column: NumberColumn) => column.parse(cells[column.index] ?? '')
    if (time instanceof StampColumns) {
      time.parse(cells)
      row.time = time.secondsOfDay
      row.day = time.day
    } else row.time = time === undefined ? this.samples * this.options.everyS! : parseCell(time)
    row.power = this.power.parse(cells)
    this.series.forEach((reader, k) => {
      row.series[k] = reader.parse(cells)
    })
    this.keep()
  }

  private keep(): void {
    this.row.line = this.line
    this.store.push(this.row)
    this.skipped.sample()
    this.samples++
  }
}

const DAY_S = 86_400

function timeColumns(source: TimeSource, markOf: MarkOf): NumberColumn | StampColumns {
  if (source.kind === 'stamp') return new StampColumns(source.columns)
  const { index } = source.columns[0]!
  return new NumberColumn(index, { dimension: 'time', unit: source.unit, mark: markOf(index) })
}
