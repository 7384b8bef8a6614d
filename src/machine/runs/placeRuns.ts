import { InputError } from '../../errors.js'
import { slackS } from '../../log/time/readElapsed.js'
import type { ParsedLog } from '../../log/trace.js'
import type { Load } from '../../segment/load.js'
import type { PlacedRun } from '../../sheet/placedRun.js'
import type { LoggedRun, LoggedTrial } from '../../sheet/testSheet.js'
import type { Warning } from '../../warnings.js'
import { divideLoad, type ScoredWork } from './divideLoad.js'
import { type ResolvedRun, resolveRunTimes } from './resolveRunTimes.js'

export interface PlacedRuns {
  readonly runs: readonly PlacedRun[]
  readonly warnings: readonly Warning[]
}

/**
 * Puts a trial's scored runs into its log: by the times that the sheet gives; else, in order, on the runs found
 * between pauses; else, when the log shows fewer or more pauses than the scores ask for, by dividing the
 * load so that score x duration is the same for every run (a loop of fixed work).
 *
 * Scores that find no place, and runs that the log cuts off, are left out with a warning, never squeezed in.
 *
 * @throws InputError when a given time lies outside the log, a run ends before it starts, or two runs overlap
 */
export function placeRuns(
  trial: LoggedTrial,
  log: ParsedLog,
  loads: readonly Load[],
  work: ScoredWork,
): PlacedRuns {
  const given = resolveRunTimes(trial, log.trace)
  const placed: PlacedRun[] = []
  const untimed: number[] = []
  const cut: Warning[] = []
  trial.runs.forEach(({ score }, index) => {
    const times = given[index]
    if (times == null) untimed.push(score)
    else if (times.cutOff) cut.push({ code: 'run-cut-off', file: trial.log, atS: times.startS })
    else placed.push({ startS: times.startS, endS: times.endS, score, placedBy: 'times' })
  })
  refuseOverlaps(trial, given, log)
  if (untimed.length === 0) return { runs: placed, warnings: cut }
  const free = foundRuns(loads).filter((run) => placed.every((other) => !overlap(run, other)))
  // A load that holds timed runs too can't be divided among the others alone.
  const divisible = placed.length === 0 ? longestLoad(loads) : undefined
  const found = placeUntimed(untimed, { free, divisible, work, file: trial.log })
  const runs = [...placed, ...found.runs].sort((a, b) => a.startS - b.startS)
  return { runs, warnings: [...cut, ...found.warnings] }
}

/** Two runs at one time: the sheet has the times of one of them wrong. Times noted by hand may overlap by what they are rounded to. */
function refuseOverlaps(
  { runs }: LoggedTrial,
  given: readonly (ResolvedRun | null)[],
  { trace }: ParsedLog,
): void {
  const timed = given
    .flatMap((times, index) => (times === null ? [] : [{ ...times, run: runs[index]! }]))
    .sort((a, b) => a.startS - b.startS)
  for (let i = 1; i < timed.length; i++) {
    const [before, after] = [timed[i - 1]!, timed[i]!]
    if (after.startS >= before.endS - slackS(trace)) continue
    const words = ({ start, end }: LoggedRun) => `\`${start?.text}\` to \`${end?.text}\``
    throw new InputError(
      'runs-overlap',
      `expected runs one after another, got ${words(before.run)} and ${words(after.run)}, which overlap`,
      {
        where: after.run.at,
        remedy: 'correct the times, or leave them out: runs are then found in the log, in order',
      },
    )
  }
}

interface RunStretch {
  readonly startS: number
  readonly endS: number
}

interface Room {
  readonly free: readonly RunStretch[]
  readonly divisible: Load | undefined
  readonly work: ScoredWork
  readonly file: string
}

function placeUntimed(scores: readonly number[], room: Room): PlacedRuns {
  const { free, divisible, file } = room
  const scored = scores.length
  if (free.length !== scored) {
    const divided = divideLoad(scores, divisible, room.work)
    if (divided !== null) {
      return {
        runs: divided,
        warnings: [{ code: 'runs-placed-by-scores', file, scored, found: free.length }],
      }
    }
  }
  const runs = scores.slice(0, free.length).map((score, index): PlacedRun => {
    const { startS, endS } = free[index]!
    return { startS, endS, score, placedBy: 'pauses' }
  })
  const fits = free.length === scored
  return {
    runs,
    warnings: fits ? [] : [{ code: 'runs-differ-from-scores', file, scored, found: free.length }],
  }
}

function foundRuns(loads: readonly Load[]): RunStretch[] {
  return loads.flatMap((load) => load.runs.map(({ startS, endS }) => ({ startS, endS })))
}

function longestLoad(loads: readonly Load[]): Load | undefined {
  return loads.reduce<Load | undefined>(
    (best, load) => (best === undefined || load.endS - load.startS > best.endS - best.startS ? load : best),
    undefined,
  )
}

function overlap(a: RunStretch, b: RunStretch): boolean {
  return a.startS < b.endS && b.startS < a.endS
}
