import { InputError } from '../../errors.js'
import type { ReadFormula } from '../../log/formula/formulaOptions.js'
import type { ParsedLog } from '../../log/trace.js'
import type { Workload } from '../../physics/chip/chip.js'
import { parseScoreTable, type ScoreRow } from '../../sheet/draft/parseScoreTable.js'
import { type DraftScore, placeScores } from '../../sheet/draft/placeScores.js'
import { meanOf } from '../../sheet/meanOf.js'
import { parseScore } from '../../sheet/parseScore.js'
import type { LoggedRun, LoggedTrial, TestSheet } from '../../sheet/testSheet.js'
import type { Warning } from '../../warnings.js'
import type { ChosenLoads } from '../chooseLoads.js'

/** Runs of a trial, with what fits none of them. */
export interface RunsFromTable {
  readonly runs: readonly LoggedRun[]
  readonly warnings: readonly Warning[]
}

/** A table of scores as it stands. */
export interface ScoreTableText {
  readonly file: string
  readonly text: string
  /** What the name of its scores was read as, where it looks like a formula. */
  readonly formula?: ReadFormula | undefined
}

/** A trial whose scores stand in a table of their own. */
export type TabledTrial = LoggedTrial & { readonly table: NonNullable<LoggedTrial['table']> }

/**
 * Runs of a trial whose scores stand in a table of their own: each found by the time in its row, else by its order.
 *
 * Rows of another log, load or workload are left for their own trials. A row of this trial that fits no run of the log is told, never
 * guessed.
 *
 * @throws InputError those of `parseScoreTable`, and `score-invalid` at its line
 */
export function runsFromTable(
  trial: TabledTrial,
  sheet: TestSheet,
  {
    log,
    chosen,
    file,
    text,
    formula,
  }: {
    readonly log: ParsedLog
    readonly chosen: ChosenLoads
  } & ScoreTableText,
): RunsFromTable {
  const { rows } = parseScoreTable(text, { file, score: trial.table.score ?? undefined, formula })
  const loads = chosen.loads.map((load, index) => ({
    log: trial.log,
    number: chosen.numbers[index]!,
    load,
    trace: log.trace,
  }))
  const { byLoad, unplaced } = placeScores(
    loads,
    rows.filter(isOwn(trial, sheet.task ?? sheet.workload.name, chosen)),
  )
  const runs = [...byLoad.values()].flat().map((placed) => loggedRun(placed, sheet.workload, file))
  const warnings = unplaced.map(
    ({ line, reason }): Warning => ({ code: 'score-unplaced', file, line, reason }),
  )
  return { runs, warnings }
}

/** Whether a row may be of this trial: it names no other log, load or workload. */
function isOwn(trial: LoggedTrial, task: string, { numbers }: ChosenLoads): (row: ScoreRow) => boolean {
  const name = (path: string) => path.split(/[\\/]/).at(-1)
  return (row) =>
    (row.log === null || row.log === trial.log || name(row.log) === name(trial.log)) &&
    (row.load === null || numbers.includes(row.load)) &&
    (row.workload === null || row.workload.toLowerCase() === task.toLowerCase())
}

function loggedRun(
  { score, line, startS, endS, of }: DraftScore,
  workload: Workload,
  file: string,
): LoggedRun {
  const at = { file, line }
  const elapsed = (seconds: number | null) =>
    seconds === null
      ? null
      : { elapsedS: seconds, ofDayS: null, epochS: null, text: `${seconds.toFixed(1)} s` }
  try {
    return {
      start: elapsed(startS),
      end: elapsed(endS),
      score: parseScore(score, workload),
      ...meanOf(of),
      at,
    }
  } catch (error) {
    throw error instanceof InputError ? error.at(at) : error
  }
}
