import { InputError } from '../errors.js'
import { listNames } from '../log/table/listNames.js'
import { plainText } from '../log/table/plainText.js'
import type { ScoreTable } from '../sheet/draft/parseScoreTable.js'
import { type DraftLoad, type PlacedScores, placeScores } from '../sheet/draft/placeScores.js'
import { secondsPer } from '../sheet/parseScore.js'

/** What a sheet is drafted from. */
export interface DraftRequest {
  /** Every load of every log, in the order of the logs. */
  readonly loads: readonly DraftLoad[]
  /** Numbers of the loads that belong to the workload; undefined for all of them, where each log has one. */
  readonly chosen: readonly number[] | undefined
  readonly scores: ScoreTable | undefined
  readonly workload: string | null
}

/** The loads that a sheet is to hold, with their scores. */
export interface Draft {
  readonly loads: readonly DraftLoad[]
  readonly placed: PlacedScores
  /** The workload's name, its score's unit, and which direction is better, as far as they are known. */
  readonly workload: string | null
  readonly score: string | null
  readonly better: 'higher' | 'lower' | null
}

/**
 * Decides which loads a sheet holds, and finds the run of each score.
 *
 * One sheet is one workload: where a log holds several loads, the user says which of them it is about; they are never guessed. Rows of the
 * table that name another workload are left for that workload's sheet, and listed.
 *
 * @throws InputError `loads-many` where a log holds several loads and none was chosen; `load-missing`; `no-load`; `workloads-many`
 */
export function draftSheet(request: DraftRequest): Draft {
  const loads = chosenLoads(request)
  const { scores } = request
  const workload = request.workload ?? onlyWorkload(scores)
  const rows = scores?.rows ?? []
  const own = rows.filter(
    (row) => row.workload === null || workload === null || sameName(row.workload, workload),
  )
  const placed = placeScores(loads, own, true)
  const others = rows
    .filter((row) => !own.includes(row))
    .map(({ line, score, workload: other }) => ({
      line,
      score,
      reason: `it is of another workload, "${plainText(other ?? '')}"`,
    }))
  const unit = scoreUnit(scores)
  return {
    loads,
    placed: { ...placed, unplaced: [...placed.unplaced, ...others].sort((a, b) => a.line - b.line) },
    workload,
    score: unit,
    better: unit === null ? null : secondsPer(unit) === undefined ? 'higher' : 'lower',
  }
}

function chosenLoads({ loads, chosen }: DraftRequest): readonly DraftLoad[] {
  if (loads.length === 0) {
    throw new InputError(
      'no-load',
      'expected a load in the log, got none: the power never rises clearly above idle',
    )
  }
  if (chosen === undefined) {
    const crowded = loads.find(({ number }) => number > 1)
    if (crowded === undefined) return loads
    throw new InputError('loads-many', `expected one load in ${crowded.log}, got several`, {
      remedy: 'choose those of one workload with --loads, as in --loads 2 or --loads 1,3',
    })
  }
  const missing = chosen.find((wanted) => !loads.some(({ number }) => number === wanted))
  if (missing !== undefined) {
    const most = Math.max(...loads.map(({ number }) => number))
    throw new InputError('load-missing', `expected a load from 1 to ${most}, got --loads ${missing}`)
  }
  return loads.filter(({ number }) => chosen.includes(number))
}

function onlyWorkload(scores: ScoreTable | undefined): string | null {
  const names = [...new Set((scores?.rows ?? []).flatMap(({ workload }) => workload ?? []))]
  if (names.length <= 1) return names[0] ?? null
  throw new InputError(
    'workloads-many',
    `expected the scores of one workload, got ${names.length}: ${listNames(names)}`,
    {
      remedy: 'choose one with --workload "NAME"',
    },
  )
}

/** The unit that the column of scores is headed by: the word in its brackets, or the whole heading. */
function scoreUnit(scores: ScoreTable | undefined): string | null {
  if (scores === undefined) return null
  const bracketed = /[[(]([^\])]+)[\])]/.exec(scores.scoreColumn.slice(0, LONGEST_HEADING))?.[1]?.trim()
  const unit = bracketed ?? scores.scoreColumn
  return /^score$/i.test(unit) ? null : unit
}

/** A unit stands in the first words of a heading; the pattern costs the square of a text's length. */
const LONGEST_HEADING = 200

function sameName(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase()
}
