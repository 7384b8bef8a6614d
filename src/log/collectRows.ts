import type { ChosenColumns, MeasuredColumn } from './chooseColumns.js'
import type { Header } from './findHeader.js'
import { saysMissing } from './parseCells.js'
import { splitRecords } from './splitRecords.js'
import type { SkippedLine } from './trace.js'

/** Cells of the chosen columns, one a sample, and the lines that are no samples. */
export interface TableRows {
  readonly lines: readonly number[]
  /** One or two columns; empty without a time column. */
  readonly time: readonly (readonly string[])[]
  readonly power: readonly string[]
  /** One list for each column of a family; empty without a column. */
  readonly temperature: readonly (readonly string[])[]
  readonly clock: readonly (readonly string[])[]
  readonly skipped: readonly SkippedLine[]
  /** All cells of the first sample. */
  readonly first: readonly string[]
}

/**
 * Goes through the whole table and keeps the cells of the chosen columns. A row is a sample when its time cell begins
 * like a time and its power cell like a number or a missing value; every other line is passed over with its reason.
 */
export function collectRows(text: string, header: Header, chosen: ChosenColumns): TableRows {
  const timeColumns = chosen.time?.columns.map(({ index }) => index) ?? []
  const power = chosen.power.column.index
  const [temperature, clock] = [familyOf(chosen.temperature), familyOf(chosen.clock)]
  const isSample = sampleTest(header, chosen)
  const rows = { lines: [] as number[], time: timeColumns.map(() => [] as string[]), power: [] as string[] }
  const more = { temperature: temperature.map(() => [] as string[]), clock: clock.map(() => [] as string[]) }
  let first: readonly string[] = []
  const passedOver: { line: number; reason: string; samplesBefore: number }[] = []

  splitRecords(text, header.delimiter, (cells, line) => {
    const reason = line < header.line ? beforeHeader(cells) : line === header.line ? HEADER : undefined
    const found = reason ?? (isSample(cells) ? undefined : reasonFor(cells, header, line))
    if (found === HEADER) return
    if (found !== undefined) {
      passedOver.push({ line, reason: found, samplesBefore: rows.lines.length })
      return
    }
    if (rows.lines.length === 0) first = cells
    rows.lines.push(line)
    rows.power.push(cells[power] ?? '')
    keep(timeColumns, rows.time, cells)
    keep(temperature, more.temperature, cells)
    keep(clock, more.clock, cells)
  })
  return { ...rows, ...more, first, skipped: passedOver.map((it) => placed(it, rows.lines.length)) }
}

/** Tells rows that are samples from all others, by the chosen columns. */
function sampleTest(header: Header, chosen: ChosenColumns): (cells: readonly string[]) => boolean {
  const times = chosen.time?.columns.map(({ index }) => index) ?? []
  const power = chosen.power.column.index
  const numeric = times.length === 0 ? numericColumns(header) : []
  const hasLabel = (cells: readonly string[]) =>
    numeric.some((index) => /^\s*\p{L}/u.test(cells[index] ?? '') && !saysMissing(cells[index]!))
  // Without times, a row that has no power but other numbers still counts as a step of the clock.
  const isStep = (cells: readonly string[]) =>
    cells.length === header.cells.length && cells.some((cell) => cell.trim() !== '')
  return (cells) => {
    const value = cells[power]
    if (value === undefined || !(NUMBER_LIKE.test(value) || saysMissing(value))) return false
    if (times.length === 0) return !hasLabel(cells) && (NUMBER_LIKE.test(value) || isStep(cells))
    return times.every((index) => NUMBER_LIKE.test(cells[index] ?? ''))
  }
}

function familyOf(measured: MeasuredColumn | undefined): number[] {
  return measured === undefined
    ? []
    : [measured.column, ...(measured.siblings ?? [])].map(({ index }) => index)
}

function keep(columns: readonly number[], lists: readonly string[][], cells: readonly string[]): void {
  for (let i = 0; i < columns.length; i++) lists[i]!.push(cells[columns[i]!] ?? '')
}

const HEADER = 'header'
const NUMBER_LIKE = /^\s*[-+−T]?[\d.,]*\d/
const STATISTIC =
  /\b(avg|average|mean|min|max|minimum|maximum|sum|total|median|std|stdev|stddev|count|deviation|variance|percentile|mittel\w*|durchschnitt|summe|moyenne|media|promedio|gemiddelde|среднее)\b|平均|最大|最小/iu

function beforeHeader(cells: readonly string[]): string {
  return isBlank(cells) ? 'blank line' : 'before the header'
}

function isBlank(cells: readonly string[]): boolean {
  return cells.every((cell) => cell.trim() === '')
}

function reasonFor(cells: readonly string[], header: Header, line: number): string {
  if (isBlank(cells)) return 'blank line'
  if (line === header.unitsLine) return 'row of units'
  const used = header.columns.filter(({ index }) => header.cells[index]!.trim() !== '')
  if (used.every(({ index }) => (cells[index] ?? '').trim() === header.cells[index]!.trim()))
    return 'header repeated'
  const text = cells.join(' ')
  if (/^[\s\-=_+|:*#~.]+$/.test(text)) return 'ruling line'
  if (STATISTIC.test(text)) return 'row of statistics'
  return /\p{L}{2}/u.test(text.replace(/\bn\/?a\b|\bnan\b|\bnull\b/giu, ''))
    ? 'text between the samples'
    : 'incomplete row'
}

/** Where text stands after the last sample, it is no longer between samples. */
function placed(
  found: { line: number; reason: string; samplesBefore: number },
  samples: number,
): SkippedLine {
  const { line, reason, samplesBefore } = found
  const after = reason === 'text between the samples' && samplesBefore === samples
  return { line, reason: after ? 'text after the samples' : reason }
}

/** Columns that hold numbers in most of the first rows; text in one marks a row that is no sample. */
function numericColumns(header: Header): number[] {
  return header.columns
    .map(({ index }) => index)
    .filter(
      (index) =>
        header.rows.filter((row) => NUMBER_LIKE.test(row[index] ?? '')).length > 0.6 * header.rows.length,
    )
}
