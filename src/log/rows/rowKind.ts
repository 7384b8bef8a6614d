import type { ChosenColumns } from '../columns/chooseColumns.js'
import { saysMissing } from '../table/cellParser.js'
import { type Header, uncommented } from '../table/findHeader.js'
import type { RecordScanner } from '../table/recordScanner.js'

/** Tells rows that are samples from all other lines, by the chosen columns, and says what the others are. */
export class RowKind {
  /** Columns beside the chosen ones that have a say: without times, a word among the numbers marks a row that is no sample. */
  readonly indices: readonly number[]
  private readonly times: readonly number[]
  /** The columns that the power is read from: one, or those of a formula. */
  private readonly powers: readonly number[]

  constructor(
    private readonly header: Header,
    chosen: ChosenColumns,
  ) {
    this.times = chosen.time?.columns.map(({ index }) => index) ?? []
    const { column, formula } = chosen.power
    this.powers = formula?.inputs.map((input) => input.column.index) ?? [column.index]
    this.indices = this.times.length === 0 ? numericColumns(header) : []
  }

  isSample(cells: readonly string[]): boolean {
    const isValue = (value: string | undefined) =>
      value !== undefined && (NUMBER_LIKE.test(value) || saysMissing(value))
    if (!this.powers.every((index) => isValue(cells[index]))) return false
    if (this.times.length > 0) return this.times.every((index) => NUMBER_LIKE.test(cells[index] ?? ''))
    const isFull = this.powers.every((index) => NUMBER_LIKE.test(cells[index]!))
    return !this.hasLabel(cells) && (isFull || this.isStep(cells))
  }

  /** Whether a row whose times and power are plain numbers is sure to be a sample. */
  isPlainSample(bytes: Uint8Array, record: RecordScanner): boolean {
    for (const index of this.indices) {
      if (index >= record.count) continue
      const [start, end] = [record.starts[index]!, record.ends[index]!]
      // Digits, signs, marks and blanks come before all letters.
      if (start < end && bytes[start]! > LAST_DIGIT) return false
      if (start < end && bytes[start]! <= BLANK) return false
    }
    return true
  }

  /** Why a line is passed over. */
  reasonFor(cells: readonly string[], line: number): string {
    if (cells.every((cell) => cell.trim() === '')) return 'blank line'
    if (line < this.header.line) return 'before the header'
    if (line === this.header.unitsLine) return 'row of units'
    if (this.repeatsHeader(cells)) return 'header repeated'
    const text = cells.join(' ')
    if (/^[\s\-=_+|:*#~.]+$/.test(text)) return 'ruling line'
    if (STATISTIC.test(text)) return 'row of statistics'
    return /\p{L}{2}/u.test(text.replace(/\bn\/?a\b|\bnan\b|\bnull\b/giu, ''))
      ? BETWEEN_SAMPLES
      : 'incomplete row'
  }

  private hasLabel(cells: readonly string[]): boolean {
    return this.indices.some((index) => /^\s*\p{L}/u.test(cells[index] ?? '') && !saysMissing(cells[index]!))
  }

  /** Without times, a row that has no power but other numbers still counts as a step of the clock. */
  private isStep(cells: readonly string[]): boolean {
    return cells.length === this.header.cells.length && cells.some((cell) => cell.trim() !== '')
  }

  private repeatsHeader(cells: readonly string[]): boolean {
    const names = this.header.cells
    const found = this.header.delimiter.startsWith(' ') ? uncommented({ cells }).cells : cells
    return names.every((name, index) => name.trim() === '' || (found[index] ?? '').trim() === name.trim())
  }
}

/** Where such text stands after the last sample, it is no longer between samples. */
export const BETWEEN_SAMPLES = 'text between the samples'

const BLANK = 0x20
const LAST_DIGIT = 0x39
const NUMBER_LIKE = /^\s*[-+−T]?[\d.,]*\d/
const STATISTIC =
  /\b(avg|average|mean|min|max|minimum|maximum|sum|total|median|std|stdev|stddev|count|deviation|variance|percentile|mittel\w*|durchschnitt|summe|moyenne|media|promedio|gemiddelde|среднее)\b|平均|最大|最小/iu

/** Columns that hold numbers in most of the first rows. */
function numericColumns(header: Header): number[] {
  return header.columns
    .map(({ index }) => index)
    .filter(
      (index) =>
        header.rows.filter((row) => NUMBER_LIKE.test(row[index] ?? '')).length > 0.6 * header.rows.length,
    )
}
