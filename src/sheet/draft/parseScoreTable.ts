import Papa from 'papaparse'
import { InputError } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { plainText } from '../../log/table/plainText.js'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { RunTime } from '../../log/trace.js'
import { type ScoreSource, scoreFormula } from './scoreFormula.js'

/** One row of a table of scores: a run. */
export interface ScoreRow {
  /** Line of the table, counted from 1. */
  readonly line: number
  /** The score as written. */
  readonly score: string
  readonly start: RunTime | null
  readonly end: RunTime | null
  /** Number of the load in its log; null where the table doesn't say. */
  readonly load: number | null
  /** File name of the log; null where the table doesn't say. */
  readonly log: string | null
  readonly workload: string | null
  /** How many runs the score is the mean of; null where the table doesn't say. */
  readonly runs: number | null
}

/** A table of scores: a row a run, or a row a mean of several. */
export interface ScoreTable {
  /** Heading of the column that the scores were taken from. */
  readonly scoreColumn: string
  readonly rows: readonly ScoreRow[]
}

/**
 * Reads a table of scores: CSV, tab-separated, or pasted from a spreadsheet, with a line of headings.
 *
 * Columns are known by their headings: `score` (or the name that is given, or the only column of numbers left), `start` or `time`, `end`,
 * `load`, `log`, `workload`, and `runs`, `n` or `count`, of how many runs a score is the mean. Other columns are left alone.
 *
 * @throws InputError `scores-empty`, `score-column-missing`, `score-column-ambiguous`, and what a time or load number can be wrong in
 */
export function parseScoreTable(text: string, options: ScoreSource): ScoreTable {
  const { file } = options
  const parsed = Papa.parse<string[]>(text.replace(/^\ufeff/, ''), { skipEmptyLines: 'greedy' })
  const [head = [], ...lines] = parsed.data
  if (lines.length === 0) throw noRows(file)
  const headings = head.map((cell) => cell.trim())
  const named = new Map(headings.map((heading, index) => [heading.toLowerCase(), index]))
  const formula = scoreFormula(headings, options)
  const score = formula === undefined ? scoreColumn(headings, lines, options) : -1
  const cell = (row: readonly string[], names: readonly string[]) => {
    const index = names.map((name) => named.get(name)).find((at) => at !== undefined && at !== score)
    const value = index === undefined ? '' : (row[index] ?? '').trim()
    return value === '' ? null : value
  }
  const counts = countColumn(headings, lines, score)
  const isNumbered = headings.some((heading) => NUMBERS.includes(heading.toLowerCase()))
  const rows = lines.map((row, index) => {
    const where = { file, line: index + 2 }
    return {
      line: index + 2,
      score: formula === undefined ? (row[score] ?? '').trim() : formula(row, where),
      start: timeIn(cell(row, START), where),
      end: timeIn(cell(row, ['end']), where),
      load: loadIn(cell(row, ['load']), where),
      log: cell(row, ['log', 'file']),
      workload: cell(row, ['workload', 'task', 'test']),
      runs: countIn(row, counts) ?? (isNumbered ? 1 : null),
    }
  })
  return { scoreColumn: headings[score] ?? options.score!.trim(), rows }
}

/** Headings that say of how many runs a score is the mean, and those that number single runs. */
const COUNTS = ['runs', 'n', 'count']
export const NUMBERS: readonly string[] = ['run', 'pass', '#']
const COUNT = /^([1-9]\d{0,3}|10000)$/

/** The column of how many runs each score is the mean of: whole numbers under one of its headings; -1 without one. */
export function countColumn(
  headings: readonly string[],
  lines: readonly (readonly string[])[],
  score = -1,
): number {
  return headings.findIndex((heading, index) => {
    if (index === score || !COUNTS.includes(heading.toLowerCase())) return false
    const cells = lines.map((row) => (row[index] ?? '').trim()).filter((cell) => cell !== '')
    return cells.length > 0 && cells.every((cell) => COUNT.test(cell))
  })
}

/** How many runs a row is of; null where it doesn't say. */
export function countIn(row: readonly string[], column: number): number | null {
  const cell = (row[column] ?? '').trim()
  return cell === '' ? null : Number(cell)
}

const START = ['start', 'time', 'begin', 'started']
const PLACES = new Set([
  ...START,
  'end',
  'load',
  'log',
  'file',
  'workload',
  'task',
  'test',
  'run',
  'mode',
  'machine',
])
const NUMBER = /^[+]?\d[\d\s.,:'’]*(\s*[\p{L}%/]+)?$/u
/** No score is longer; the pattern of a number costs the square of a text's length. */
const LONGEST_NUMBER = 80

function isNumber(cell: string): boolean {
  return cell.length <= LONGEST_NUMBER && NUMBER.test(cell)
}

function scoreColumn(
  headings: readonly string[],
  lines: readonly (readonly string[])[],
  { file, score }: { readonly file: string; readonly score?: string | undefined },
): number {
  const asked = score?.trim().toLowerCase() ?? 'score'
  const named = headings.findIndex((heading) => heading.toLowerCase() === asked)
  if (named >= 0) return named
  const listed = listNames(headings)
  if (score !== undefined) {
    throw new InputError('score-column-missing', `expected a column "${plainText(score)}", got ${listed}`, {
      where: { file, line: 1 },
      remedy: 'name one of them with --score-column',
    })
  }
  const open = headings.flatMap((heading, index) => {
    const isNumeric = lines.every((row) => isNumber((row[index] ?? '').trim()))
    return isNumeric && !PLACES.has(heading.toLowerCase()) ? [index] : []
  })
  const counts = countColumn(headings, lines)
  if (open.length === 2 && open.includes(counts)) return open.find((index) => index !== counts)!
  if (open.length === 1) return open[0]!
  const code = open.length === 0 ? 'score-column-missing' : 'score-column-ambiguous'
  throw new InputError(code, `expected one column of scores, got ${listed}`, {
    where: { file, line: 1 },
    remedy: 'name the column with --score-column',
  })
}

/** When a run began or ended; a plain number is in seconds. */
export function timeIn(
  text: string | null,
  where: { readonly file: string; readonly line: number },
): RunTime | null {
  if (text === null) return null
  try {
    return parseRunTime(/^\d+(\.\d+)?$/.test(text) ? `${text} s` : text)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    throw new InputError(error.code, error.message, { ...error.details, where })
  }
}

/** The number of a load, counted from 1. */
export function loadIn(
  text: string | null,
  where: { readonly file: string; readonly line: number },
): number | null {
  if (text === null) return null
  const number = Number(text)
  if (Number.isInteger(number) && number >= 1) return number
  throw new InputError(
    'load-number',
    `expected the number of a load, counted from 1, got "${plainText(text)}"`,
    {
      where,
    },
  )
}

/** What a table without rows is refused with. */
export function noRows(file: string): InputError {
  return new InputError('scores-empty', 'expected a line of headings and a row for each run, got no rows', {
    where: { file, line: 1 },
    remedy: 'write a heading such as "score" above the scores',
  })
}
