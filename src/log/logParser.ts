import { InputError } from '../errors.js'
import { listColumns } from './columns/chooseColumn.js'
import { type ChosenColumns, chooseColumns, fallbackOf } from './columns/chooseColumns.js'
import { familyName, type Quantity } from './columns/measuredColumn.js'
import { cutTrace } from './cutTrace.js'
import type { FormulaOptions } from './formula/formulaOptions.js'
import { PendingBytes } from './pendingBytes.js'
import { noteReading } from './repair/noteReading.js'
import { repairSamples } from './repair/repairSamples.js'
import { TableReader } from './rows/tableReader.js'
import { findHeader, type Header } from './table/findHeader.js'
import { HEAD_CHARACTERS, HEAD_LINES, LONGEST_LINE } from './table/headOf.js'
import { asciiConverter, decodeText, ENCODING_BYTES, logEncoding } from './table/logEncoding.js'
import { type DecimalMark, findDecimalMark } from './table/parseNumber.js'
import type { ParsedLog } from './trace.js'

export interface ParserOptions extends FormulaOptions {
  /** Takes no column for the time, even if one looks like it. */
  readonly withoutTime?: boolean
  /** Rows held in memory at a time; see `SampleStore`. */
  readonly mostRows?: number
}

/**
 * Parses a log that comes in chunks, cut anywhere: the whole text is never held, only the head until the header is
 * found and then the numbers of the chosen columns. The result doesn't depend on where the chunks are cut.
 *
 * @throws InputError as `parseLog`
 * @example
 * const parser = new LogParser({})
 * for await (const bytes of stream) parser.push(bytes)
 * const { trace } = parser.finish()
 */
export class LogParser {
  private convert: ReturnType<typeof asciiConverter> | undefined
  /** What was pushed and not yet used. */
  private readonly pending = new PendingBytes()
  private table: OpenTable | undefined
  /** How far lines of the head have been found, so that many small chunks are not looked through again and again. */
  private readonly found = { end: 0, lines: 0 }

  constructor(private readonly options: ParserOptions) {
    const { everyS } = options
    if (everyS !== undefined && !(everyS > 0 && Number.isFinite(everyS))) {
      throw new InputError('interval-not-positive', `expected a sampling interval above 0 s, got ${everyS} s`)
    }
  }

  push(bytes: Uint8Array): void {
    this.feed(bytes, false)
  }

  /** The log, when all of it has been pushed. */
  finish(): ParsedLog {
    this.feed(NOTHING, true)
    const { chosen, reader } = this.table!
    const table = reader.finish()
    const { trace, repairs } = repairSamples(table, chosen)
    return {
      trace: cutTrace(trace, this.options),
      columns: namesOf(chosen),
      skipped: table.skipped,
      repairs: [...noteReading(this.table!, table), ...repairs],
    }
  }

  private feed(bytes: Uint8Array, isLast: boolean): void {
    const text = this.converted(bytes, isLast)
    if (text === undefined) return
    this.pending.add(text)
    this.table ??= this.openTable(isLast)
    if (this.table === undefined) return
    this.pending.drop(this.table.reader.take(this.pending.bytes, isLast))
    const { length } = this.pending.bytes
    if (length > LONGEST_RECORD) throw endless(length)
  }

  /** The bytes in the encoding that is read; undefined as long as it is not known which one they are in. */
  private converted(bytes: Uint8Array, isLast: boolean): Uint8Array | undefined {
    if (this.convert !== undefined) return this.convert(bytes, isLast)
    this.pending.add(bytes)
    if (this.pending.bytes.length < ENCODING_BYTES && !isLast) return undefined
    const first = this.pending.bytes.slice()
    this.pending.drop(first.length)
    this.convert = asciiConverter(logEncoding(first))
    return this.convert(first, isLast)
  }

  /** Finds header and columns as soon as the head is there, and reads the head. */
  private openTable(isLast: boolean): OpenTable | undefined {
    const { bytes } = this.pending
    const length = headLength(bytes, this.found)
    if (length === undefined && !isLast) return undefined
    const head = bytes.subarray(0, length)
    const header = headerOf(decodeText(head), this.options)
    const chosen = this.choose(header)
    const marks = new Map(header.columns.map(({ index }) => [index, markOfHead(header, index, chosen)]))
    const isWhole = isLast && head.length === bytes.length
    let reader = this.readerOf(header, chosen, marks)
    let used = reader.take(head, isWhole)
    const settled = reader.settledMarks()
    // The first rows may leave open which mark is the decimal one, or mislead: the whole head decides.
    if ([...settled].some(([column, mark]) => mark !== marks.get(column))) {
      reader = this.readerOf(header, chosen, settled)
      used = reader.take(head, isWhole)
    }
    this.pending.drop(used)
    return { header, chosen, reader, marks: settled }
  }

  private choose(header: Header): ChosenColumns {
    const chosen = chooseColumns(header, this.options)
    if (this.options.withoutTime) return { ...chosen, time: undefined }
    if (chosen.time === undefined && this.options.everyS === undefined) throw timeMissing(header)
    return chosen
  }

  private readerOf(
    header: Header,
    chosen: ChosenColumns,
    marks: ReadonlyMap<number, DecimalMark>,
  ): TableReader {
    const { everyS, mostRows } = this.options
    return new TableReader(header, chosen, { everyS, mostRows, marks })
  }
}

interface OpenTable {
  readonly header: Header
  readonly chosen: ChosenColumns
  readonly reader: TableReader
  /** Decimal mark of each column of numbers. */
  readonly marks: ReadonlyMap<number, DecimalMark>
}

const NOTHING = new Uint8Array(0)
// At most three bytes of UTF-8 make one character of text.
const HEAD_BYTES = 3 * (HEAD_CHARACTERS + LONGEST_LINE)
// Several times what the longest line of a table has been seen to be.
const LONGEST_RECORD = 4 * LONGEST_LINE
const LINE_FEED = 0x0a
const CARRIAGE_RETURN = 0x0d

/** Columns that the user named for the power, alone or in a formula, make a header of their line, whatever else it holds. */
function headerOf(text: string, { power, formulas }: ParserOptions): Header {
  const formula = power === undefined ? undefined : formulas?.get(power)
  if (power === undefined || formula === undefined)
    return findHeader(text, power === undefined ? [] : [power])
  if (!(formula instanceof InputError))
    return findHeader(
      text,
      formula.names.map(({ name }) => name),
    )
  try {
    return findHeader(text, [power])
  } catch {
    throw formula
  }
}

/** Length of the part in which the header is looked for; undefined when these bytes don't hold all of it. Goes on from what was found in fewer bytes. */
function headLength(bytes: Uint8Array, found: { end: number; lines: number }): number | undefined {
  const head = bytes.subarray(0, HEAD_BYTES)
  let feed = head.indexOf(LINE_FEED, found.end)
  for (; found.lines < HEAD_LINES; found.lines++) {
    if (feed >= 0 && feed < found.end) feed = head.indexOf(LINE_FEED, found.end)
    const alone = loneReturn(head, found.end, feed)
    if (alone < 0 && feed < 0) return bytes.length >= HEAD_BYTES ? HEAD_BYTES : undefined
    found.end = 1 + (alone < 0 ? feed : alone)
  }
  return found.end
}

/** Where a carriage return without a line feed ends a line before `feed`; -1 where none does. */
function loneReturn(bytes: Uint8Array, start: number, feed: number): number {
  const line = bytes.subarray(start, feed < 0 ? bytes.length : feed)
  const at = line.indexOf(CARRIAGE_RETURN)
  // The last byte may yet be followed by its line feed.
  return at < 0 || at === line.length - 1 ? -1 : start + at
}

/** Decimal mark of a column by the rows just below the header. */
function markOfHead(header: Header, column: number, chosen: ChosenColumns): DecimalMark {
  return findDecimalMark(
    header.rows.map((row) => row[column] ?? ''),
    fallbackOf(chosen, column),
  )
}

function endless(length: number): InputError {
  return new InputError(
    'line-too-long',
    `expected lines of a text table, got one of more than ${length} characters`,
    {
      remedy: 'export the log as CSV text, one sample a line',
    },
  )
}

function timeMissing(header: Header): InputError {
  return new InputError('time-missing', `found no column with times among ${listColumns(header.columns)}`, {
    ...(header.line > 0 ? { where: { line: header.line } } : {}),
    remedy: 'pick it with --time "NAME", or give the sampling interval with --every 1s',
  })
}

function namesOf({ time, power, series, device }: ChosenColumns): ParsedLog['columns'] {
  const named = (wanted: Quantity) => series.filter(({ quantity }) => quantity === wanted)
  const first = (wanted: Quantity) => named(wanted).map(familyName)[0] ?? null
  return {
    time: time?.columns.map(({ header }) => header).join(' + ') ?? null,
    power: power.column.header,
    temperature: first('temperature'),
    clock: first('clock'),
    limit: first('limit'),
    use: first('use'),
    reasons: first('reasons'),
    rate: first('rate'),
    temperatures: [...named('temperature'), ...named('sensor')].map(familyName),
    device: device === undefined ? null : { column: device.column.header, value: device.value },
  }
}
