import type { Load } from '../../segment/load.js'
import { meanOf } from '../../sheet/meanOf.js'
import type { PlacedRun } from '../../sheet/placedRun.js'
import type { LoggedRun } from '../../sheet/testSheet.js'
import type { Warning } from '../../warnings.js'
import { divideLoad, type ScoredWork } from './divideLoad.js'

/** Runs with their places, and what is poor about them. */
export interface PlacedRuns {
  readonly runs: readonly PlacedRun[]
  readonly warnings: readonly Warning[]
}

/** When something began and ended, seconds from the log's first sample. */
export interface RunStretch {
  readonly startS: number
  readonly endS: number
}

/** A score without times, and how many runs it is of. */
export type UntimedScore = Pick<LoggedRun, 'score' | 'of'>

/** Where scores without times may lie. */
export interface Room {
  /** Runs that the log shows between pauses, in order. */
  readonly free: readonly RunStretch[]
  readonly divisible: Load | undefined
  readonly work: ScoredWork
  readonly file: string
}

/**
 * Puts scores without times, in order, on the runs of a log: each on the next one, a mean of n on the next n. Where the log shows fewer or
 * more runs, the load is divided (`divideLoad`), a mean counting as n runs that all score the same.
 */
export function placeUntimed(scores: readonly UntimedScore[], room: Room): PlacedRuns {
  const { free, file } = room
  const scored = scores.reduce((sum, { of = 1 }) => sum + of, 0)
  if (free.length !== scored && scored <= MOST_DIVIDED) {
    const single = scores.flatMap(({ score, of = 1 }) => new Array<number>(of).fill(score))
    const divided = divideLoad(single, room.divisible, room.work)
    if (divided !== null) {
      const runs = onNextRuns(scores, divided, 'scores')
      return { runs, warnings: [{ code: 'runs-placed-by-scores', file, scored, found: free.length }] }
    }
  }
  const runs = onNextRuns(scores, free, 'pauses')
  return {
    runs,
    warnings:
      free.length === scored ? [] : [{ code: 'runs-differ-from-scores', file, scored, found: free.length }],
  }
}

/** No load of a log is of more runs; a sheet may claim any number. */
const MOST_DIVIDED = 10_000

/** Scores that find none, or too few, are left out. */
function onNextRuns(
  scores: readonly UntimedScore[],
  stretches: readonly RunStretch[],
  placedBy: PlacedRun['placedBy'],
): readonly PlacedRun[] {
  let next = 0
  return scores.flatMap(({ score, of = 1 }): readonly PlacedRun[] => {
    const parts = stretches.slice(next, next + of)
    next += of
    if (parts.length < of) return []
    const [startS, endS] = [parts[0]!.startS, parts.at(-1)!.endS]
    if (of === 1) return [{ startS, endS, score, placedBy }]
    return [{ startS, endS, ...meanOf(of), parts: parts.map(stretchOf), score, placedBy }]
  })
}

function stretchOf({ startS, endS }: RunStretch): RunStretch {
  return { startS, endS }
}
