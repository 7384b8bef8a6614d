import Papa from 'papaparse'
import { InputError } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { plainText } from '../../log/table/plainText.js'
import type { RunTime } from '../../log/trace.js'
import type { Warning } from '../../warnings.js'
import { placeCells } from './placeCells.js'
import { findPlaces, hasRunNumbers, isPlace } from './placeHeadings.js'
import { isScore, openPoint, scoreCells } from './scoreCells.js'
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
  /** What of the table may have been meant otherwise. */
  readonly warnings: readonly Warning[]
}

/**
 * Reads a table of scores: CSV, tab-separated, or pasted from a spreadsheet, with a line of headings.
 *
 * Columns are known by their headings (`placeHeadings.ts`, in several languages): `score` (or the name that is given, or the only column of
 * numbers left), `start` or `time`, `end`, `load`, `log`, `workload`, and `runs`, `n` or `count`, of how many runs a score is the mean. Other
 * columns are left alone.
 *
 * @throws InputError `scores-empty`, `score-column-missing`, `score-column-ambiguous`, and what a time or load number can be wrong in
 */
export function parseScoreTable(text: string, options: ScoreSource): ScoreTable {
  const { file } = options
  const parsed = Papa.parse<string[]>(text.replace(/^\ufeff/, ''), { skipEmptyLines: 'greedy' })
  const [head = [], ...lines] = parsed.data
  if (lines.length === 0) throw noRows(file)
  const headings = head.map((cell) => cell.trim())
  const formula = scoreFormula(headings, options)
  const score = formula === undefined ? scoreColumn(headings, lines, options) : -1
  const places = findPlaces(headings, lines, (index) => index === score)
  const isNumbered = hasRunNumbers(headings)
  const read = scoreCells(lines, score, file)
  const scoreIn = (row: readonly string[]) => {
    const cell = (row[score] ?? '').trim()
    return read(cell) ?? cell
  }
  const rows = lines.map((row, index) => {
    const where = { file, line: index + 2 }
    const { text: at, ...place } = placeCells(row, { headings, places, where })
    return {
      line: index + 2,
      score: formula === undefined ? scoreIn(row) : formula(row, where),
      ...place,
      ...{ log: at('log'), workload: at('workload') },
      runs: place.runs ?? (isNumbered ? 1 : null),
    }
  })
  const open =
    formula === undefined ? openPoint(lines, score, { file, unit: unitIn(headings[score]!) }) : undefined
  return {
    scoreColumn: headings[score] ?? options.score!.trim(),
    rows,
    warnings: open === undefined ? [] : [open],
  }
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
  const places = findPlaces(headings, lines, () => false)
  const numeric = headings.flatMap((_, index) =>
    lines.every((row) => isScore((row[index] ?? '').trim())) ? [index] : [],
  )
  // What could only be a count of runs is the score where nothing else is one.
  const open = numeric.filter((index) => !isPlace(index, headings, { ...places, runs: -1 }))
  const left = open.length === 2 ? open.filter((index) => index !== places.runs) : open
  if (left.length === 1) return left[0]!
  const code = open.length === 0 ? 'score-column-missing' : 'score-column-ambiguous'
  throw new InputError(code, `expected one column of scores, got ${listed}`, {
    where: { file, line: 1 },
    remedy: 'name the column with --score-column',
  })
}

/** What stands in brackets behind a heading, or the heading itself. */
function unitIn(heading: string): string {
  return /[[(]([^\])]{1,40})[\])]\s*$/.exec(heading)?.[1] ?? heading
}

/** What a table without rows is refused with. */
export function noRows(file: string): InputError {
  return new InputError('scores-empty', 'expected a line of headings and a row for each run, got no rows', {
    where: { file, line: 1 },
    remedy: 'write a heading such as "score" above the scores',
  })
}
