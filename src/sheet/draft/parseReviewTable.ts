import Papa from 'papaparse'
import { InputError, type InputLocation } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { RunTime } from '../../log/trace.js'
import { type AskedMetric, metricColumns, metricOf, type TableMetric } from './metricColumns.js'
import { countColumn, countIn, loadIn, NUMBERS, noRows, timeIn } from './parseScoreTable.js'

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
  /** In the order of the columns. */
  readonly metrics: readonly TableMetric[]
  readonly rows: readonly ReviewRow[]
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
 * Columns are known by their headings, in English or as German, French and Japanese tables have them (`PLACES`): `machine`, `workload`, `mode`, `log`, `load`, `start`, `end`, `chip`, `chassis`; the columns of numbers
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
  const cell = (row: readonly string[], index: number | undefined) => {
    const value = index === undefined ? '' : (row[index] ?? '').trim()
    return value === '' ? null : value
  }
  // Runs that are numbered, by a column or in the headings, are single ones.
  const isNumbered =
    headings.some((heading) => NUMBERS.includes(heading.toLowerCase())) ||
    new Set(columns.map(({ metric }) => metric.name)).size < columns.length
  const known = new Map<string, TableMetric>()
  const rows = lines.flatMap((row, index): readonly ReviewRow[] => {
    const where = { file, line: index + 2 }
    const at = (place: keyof Places) => cell(row, places[place])
    const base = {
      line: index + 2,
      ...{ machine: at('machine'), workload: at('workload'), mode: at('mode'), log: at('log') },
      ...{
        load: loadIn(at('load'), where),
        start: timeIn(withPoint(at('start')), where),
        end: timeIn(withPoint(at('end')), where),
      },
      ...{ chip: at('chip'), chassis: at('chassis') },
      runs: countIn(row, places.runs ?? -1) ?? (isNumbered ? 1 : null),
    }
    const runs: Record<string, string>[] = []
    let unreadable: string | null = null
    for (const { metric, index: column, read } of columns) {
      const written = cell(row, column)
      if (written === null) continue
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
  return { file, metrics: [...known.values()], rows }
}

/** Seconds with a decimal comma: `74,8 s`. Three digits behind it could be thousands, and are left to be refused. */
function withPoint(time: string | null): string | null {
  return time === null ? null : time.replace(/^(\d+),(\d{1,2})(?=\D|$)/, '$1.$2')
}

/** Whether a table has more than a sheet of one workload holds: several machines, workloads or modes. */
export function isReviewTable(text: string, workload: string | undefined): boolean {
  const [head = [], ...lines] = Papa.parse<string[]>(text.replace(/^\ufeff/, ''), {
    skipEmptyLines: 'greedy',
  }).data
  const lower = head.map((cell) => cell.trim().toLowerCase())
  const indexOf = (place: 'machine' | 'workload' | 'mode') =>
    lower.findIndex((heading) => (PLACES[place] as readonly string[]).includes(heading))
  const cell = (row: readonly string[], index: number) => (row[index] ?? '').trim().toLowerCase()
  const own = lines.filter(
    (row) => workload === undefined || cell(row, indexOf('workload')) === workload.trim().toLowerCase(),
  )
  return (['machine', 'workload', 'mode'] as const).some((place) => {
    return new Set(own.map((row) => cell(row, indexOf(place))).filter((name) => name !== '')).size > 1
  })
}

const PLACES = {
  machine: [
    'machine',
    'laptop',
    'notebook',
    'computer',
    'gerät',
    'rechner',
    'ordinateur',
    'appareil',
    '機種',
  ],
  workload: ['workload', 'task', 'test', 'game', 'aufgabe', 'spiel', 'tâche', 'essai', 'jeu', 'テスト'],
  mode: ['mode', 'power mode', 'supply', 'modus', 'betriebsart', 'モード'],
  log: ['log', 'file', 'log file', 'datei', 'fichier'],
  load: ['load'],
  start: ['start', 'started', 'begin', 'time', 'beginn', 'début', '開始'],
  end: ['end', 'ended', 'ende', 'fin', '終了'],
  chip: ['chip', 'processor', 'prozessor', 'processeur'],
  chassis: ['chassis'],
  unit: ['unit', 'einheit', 'unité', '単位'],
} as const
/** Headings that hold neither a score nor a place. */
const OTHERS = [
  'run',
  'pass',
  'date',
  'note',
  'notes',
  'comment',
  '#',
  'datum',
  'anmerkung',
  'remarque',
  '備考',
]

type Places = { readonly [place in keyof typeof PLACES | 'runs']?: number }

function placesOf(source: {
  readonly headings: readonly string[]
  readonly lines: readonly (readonly string[])[]
  readonly file: string
  readonly metrics?: readonly AskedMetric[] | undefined
}): Places {
  const { headings, lines, file, metrics } = source
  const lower = headings.map((heading) => heading.toLowerCase())
  const isMetric = (heading: string) => metrics?.some(({ name }) => name.toLowerCase() === heading) === true
  const found = Object.entries(PLACES).flatMap(([place, names]) => {
    const name = names.find((each) => lower.includes(each) && !isMetric(each))
    return name === undefined ? [] : [[place, lower.indexOf(name)] as const]
  })
  const counts = countColumn(headings, lines)
  const isCount = counts >= 0 && !isMetric(lower[counts]!)
  const places: Places = { ...Object.fromEntries(found), ...(isCount ? { runs: counts } : {}) }
  if (places.start !== undefined && lower[places.start] === 'time') {
    const cells = lines.map((row) => (row[places.start!] ?? '').trim()).filter((each) => each !== '')
    if (!cells.every(isClock)) throw timeUnclear(headings, file)
  }
  return places
}

function isPlace(index: number, headings: readonly string[], places: Places): boolean {
  return Object.values(places).includes(index) || OTHERS.includes(headings[index]!.toLowerCase())
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
