import { InputError } from '../../errors.js'
import { slackS } from '../../log/time/readElapsed.js'
import type { ParsedLog } from '../../log/trace.js'
import type { Load } from '../../segment/load.js'
import type { PlacedRun } from '../../sheet/placedRun.js'
import type { LoggedRun, LoggedTrial } from '../../sheet/testSheet.js'
import type { Warning } from '../../warnings.js'
import type { ScoredWork } from './divideLoad.js'
import { equalWork } from './equalWork.js'
import { type PlacedRuns, placeUntimed, type RunStretch, type UntimedScore } from './placeUntimed.js'
import { type ResolvedRun, resolveRunTimes } from './resolveRunTimes.js'

/**
 * Puts a trial's scored runs into its log: by the times that the sheet gives; else, in order, on the runs found
 * between pauses; else, when the log shows fewer or more pauses than the scores ask for, by dividing the
 * load so that score x duration is the same for every run (a loop of fixed work).
 *
 * A mean of n runs takes the runs between its times, or the next n. Scores that find no place, and runs that the log cuts off, are left out with a warning, never squeezed in.
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
  const untimed: UntimedScore[] = []
  const found = foundRuns(loads)
  const cut: Warning[] = []
  trial.runs.forEach((run, index) => {
    const times = given[index]
    if (times == null) untimed.push(run)
    else if (times.cutOff) cut.push({ code: 'run-cut-off', file: trial.log, atS: times.startS })
    else placed.push(timedRun(times, run, found))
  })
  refuseOverlaps(trial, given, log)
  const told = [...cut, ...otherCounts(placed, trial.log)]
  const divided = (runs: readonly PlacedRun[]) => runs.map((run) => withParts(run, log, work))
  if (untimed.length === 0) return { runs: divided(placed), warnings: told }
  const free = found.filter((run) => placed.every((other) => !overlap(run, other)))
  // A load that holds timed runs too can't be divided among the others alone.
  const divisible = placed.length === 0 ? longestLoad(loads) : undefined
  const rest = placeUntimed(untimed, { free, divisible, work, file: trial.log })
  const runs = [...placed, ...rest.runs].sort((a, b) => a.startS - b.startS)
  return { runs: divided(runs), warnings: [...told, ...rest.warnings] }
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

/**
 * A run with its times; of a mean, the runs that the log shows between them. Where it shows none or one, as in a loop without pauses, the
 * mean covers the whole (`withParts`).
 */
function timedRun(
  { startS, endS }: RunStretch,
  { score, of }: LoggedRun,
  found: readonly RunStretch[],
): PlacedRun {
  const run = { startS, endS, score, placedBy: 'times' as const }
  if (of === undefined) return run
  const parts = found
    .filter(
      (each) => Math.min(endS, each.endS) - Math.max(startS, each.startS) > (each.endS - each.startS) / 2,
    )
    .map((each) => ({ startS: Math.max(startS, each.startS), endS: Math.min(endS, each.endS) }))
  return parts.length < 2 ? { ...run, of } : { ...run, of, parts }
}

/** A mean whose runs no pauses tell apart, with the runs as fixed work divides them. Runs that all take as long need no division. */
function withParts(run: PlacedRun, { trace }: ParsedLog, { fixed }: ScoredWork): PlacedRun {
  const isWhole = run.of !== undefined && (run.parts === undefined || run.placedBy === 'scores')
  const parts = isWhole && fixed !== 'time' ? equalWork(trace, run, run.of) : undefined
  return parts === undefined ? run : { ...run, parts }
}

/** Means whose times hold another number of runs than they are said to be of. */
function otherCounts(runs: readonly PlacedRun[], file: string): readonly Warning[] {
  return runs.flatMap(({ startS, of, parts }): readonly Warning[] =>
    of === undefined || parts === undefined || parts.length === of
      ? []
      : [{ code: 'mean-of-other-runs', file, atS: startS, runs: of, found: parts.length }],
  )
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
