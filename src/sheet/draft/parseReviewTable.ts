import Papa from 'papaparse'
import { InputError, type InputLocation } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { RunTime } from '../../log/trace.js'
import type { Warning } from '../../warnings.js'
import { type AskedMetric, metricColumns, metricOf, type TableMetric } from './metricColumns.js'
import { noRows } from './parseScoreTable.js'
import { placeCells } from './placeCells.js'
import { findPlaces, hasRunNumbers, isPlace, type PlaceColumns, unreadColumns } from './placeHeadings.js'
import { openPoint } from './scoreCells.js'

/** A run of a review's table: which machine, workload and mode it was, where it lies, and what it scored. */
export interface ReviewRow {
  /** Line of the table, counted from 1. */
  readonly line: number
  readonly machine: string | null
  readonly workload: string | null
  readonly mode: string | null
  readonly log: string | null
  /** Number of the load in its log; null where the table doesn't say. */
  readonly load: number | null
  readonly start: RunTime | null
  readonly end: RunTime | null
  readonly chip: string | null
  readonly chassis: string | null
  /** How many runs the values are the mean of; null where the table doesn't say. */
  readonly runs: number | null
  /** Values as written, but for a decimal comma, by the name of the metric; none where one can't be read. */
  readonly values: { readonly [metric: string]: string }
  /** A cell of the row that should hold a score and doesn't. */
  readonly unreadable: string | null
}

/** A table of a review's scores. */
export interface ReviewTable {
  readonly file: string
  readonly headings: readonly string[]
  /** In the order of the columns. */
  readonly metrics: readonly TableMetric[]
  readonly rows: readonly ReviewRow[]
  /** What of the table may have been meant otherwise. */
  readonly warnings: readonly Warning[]
}

interface ReviewTableOptions {
  readonly file: string
  /** Which columns hold scores; undefined: those that say nothing else. */
  readonly metrics?: readonly AskedMetric[] | undefined
}

/**
 * Reads the table of a review: CSV, tab-separated, or pasted from a spreadsheet, with a line of headings; a row a run, or a row a workload
 * with its runs in numbered columns.
 *
 * Columns are known by their headings, in English or as German, French and Japanese tables have them (`placeHeadings.ts`): `machine`, `workload`, `mode`, `log`, `load`, `start`, `end`, `chip`, `chassis`; the columns of numbers
 * that are left hold scores (`metricColumns`). A column `runs`, `n` or `count` says of how many runs a row is the mean. Where scores stand under `score`, a column `unit` says what each is in.
 *
 * @throws InputError `scores-empty`, `time-column-unclear`, and those of `metricColumns`
 */
export function parseReviewTable(text: string, { file, metrics }: ReviewTableOptions): ReviewTable {
  const parsed = Papa.parse<string[]>(text.replace(/^\ufeff/, ''), { skipEmptyLines: 'greedy' })
  const [head = [], ...lines] = parsed.data
  if (lines.length === 0) throw noRows(file)
  const headings = head.map((cell) => cell.trim())
  const places = placesOf({ headings, lines, file, metrics })
  const columns = metricColumns({
    headings,
    lines,
    isPlace: (index) => isPlace(index, headings, places),
    asked: metrics,
    file,
  })
  // Runs that are numbered, by a column or in the headings, are single ones.
  const isNumbered =
    hasRunNumbers(headings) || new Set(columns.map(({ metric }) => metric.name)).size < columns.length
  const known = new Map<string, TableMetric>()
  const rows = lines.flatMap((row, index): readonly ReviewRow[] => {
    const where = { file, line: index + 2 }
    const { text: at, ...place } = placeCells(row, { headings, places, where })
    const base = {
      line: index + 2,
      ...{ machine: at('machine'), workload: at('workload'), mode: at('mode'), log: at('log') },
      ...{ chip: at('chip'), chassis: at('chassis') },
      ...place,
      runs: place.runs ?? (isNumbered ? 1 : null),
    }
    const runs: Record<string, string>[] = []
    let unreadable: string | null = null
    for (const { metric, index: column, read } of columns) {
      const written = (row[column] ?? '').trim()
      if (written === '') continue
      const value = read(written)
      if (value === undefined) {
        unreadable = written
        continue
      }
      const unit = at('unit')
      const own =
        metric.name === 'score' && unit !== null ? metricOf({ name: unit, unit, better: null }, []) : metric
      if (!known.has(own.name)) known.set(own.name, own)
      const run = runs.find((each) => each[own.name] === undefined)
      if (run === undefined) runs.push({ [own.name]: value })
      else run[own.name] = value
    }
    if (runs.length > 1 && (base.start !== null || base.end !== null)) throw oneTime(where)
    // A footnote stands in the first cell alone, and names no machine.
    const words = row.filter((each) => each.trim() !== '')
    if (words.length === 1 && headings.length > 2 && runs.length === 0)
      return [
        { ...base, machine: null, workload: null, mode: null, values: {}, unreadable: words[0]!.trim() },
      ]
    if (unreadable !== null || runs.length === 0) return [{ ...base, values: {}, unreadable }]
    const count = runs.length > 1 ? { runs: 1 } : {}
    return runs.map((values) => ({ ...base, ...count, values, unreadable }))
  })
  const isRead = (index: number) =>
    isPlace(index, headings, places) || columns.some((column) => column.index === index)
  const unread = unreadColumns(headings, lines, isRead)
  const open = columns.flatMap(({ index, metric: { unit } }) => openPoint(lines, index, { file, unit }) ?? [])
  const warnings: readonly Warning[] = [
    ...(unread.length === 0 ? [] : [{ code: 'columns-unread', file, columns: unread } as const]),
    ...open,
  ]
  return { file, headings, metrics: [...known.values()], rows, warnings }
}

/** Whether a table has more than a sheet of one workload holds: several machines, workloads or modes. */
export function isReviewTable(text: string, workload: string | undefined): boolean {
  const [head = [], ...lines] = Papa.parse<string[]>(text.replace(/^\ufeff/, ''), {
    skipEmptyLines: 'greedy',
  }).data
  const places = findPlaces(
    head.map((each) => each.trim()),
    lines,
    () => false,
  )
  const cell = (row: readonly string[], place: 'machine' | 'workload' | 'mode') =>
    (row[places[place] ?? -1] ?? '').trim().toLowerCase()
  const own = lines.filter(
    (row) => workload === undefined || cell(row, 'workload') === workload.trim().toLowerCase(),
  )
  return (['machine', 'workload', 'mode'] as const).some((place) => {
    return new Set(own.map((row) => cell(row, place)).filter((name) => name !== '')).size > 1
  })
}

function placesOf(source: {
  readonly headings: readonly string[]
  readonly lines: readonly (readonly string[])[]
  readonly file: string
  readonly metrics?: readonly AskedMetric[] | undefined
}): PlaceColumns {
  const { headings, lines, file, metrics } = source
  const isMetric = (index: number) =>
    metrics?.some(({ name }) => name.toLowerCase() === headings[index]!.toLowerCase()) === true
  const places = findPlaces(headings, lines, isMetric)
  if (places.start !== undefined && headings[places.start]!.toLowerCase() === 'time') {
    const cells = lines.map((row) => (row[places.start!] ?? '').trim()).filter((each) => each !== '')
    if (!cells.every(isClock)) throw timeUnclear(headings, file)
  }
  return places
}

/** A time of day or a date says when; seconds or minutes may as well be a score. */
function isClock(cell: string): boolean {
  try {
    return parseRunTime(cell).ofDayS !== null
  } catch {
    return false
  }
}

function oneTime(where: InputLocation): InputError {
  return new InputError('row-of-several-runs', 'expected one run beside a time, got several in this row', {
    where,
    remedy: 'write a row for each run, or leave out its times',
  })
}

function timeUnclear(headings: readonly string[], file: string): InputError {
  return new InputError(
    'time-column-unclear',
    `expected to know whether "time" says when a run began or what it scored, got ${listNames(headings)}`,
    {
      where: { file, line: 1 },
      remedy: 'name it "start" in the table, or say that it is a score: --metrics "time lower s"',
    },
  )
}
