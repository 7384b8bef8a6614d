import { quantile } from '../numeric/statistics/quantile.js'
import type { Load } from '../segment/load.js'
import type { PlacedRun } from '../sheet/placedRun.js'
import { formatQuantity } from '../units.js'
import type { Finding } from './finding.js'

interface RunTimesView {
  /** Scored runs of one trial. */
  readonly runs: readonly PlacedRun[]
  readonly loads: readonly Load[]
  /** Median sampling interval of the log, s. */
  readonly intervalS: number
}

/** Who notes times by hand is late by a second or two; common practice, no source. */
const NOTED_LATE_S = 3
/** So near two edges must be to be called moved alike, s. */
const ALIKE_S = 2
/** A run that is moved by this share of its length takes so much of a pause, or of another run, into its power. */
const MOVED_FAR = 0.05

/**
 * Whether the times of runs and those of the log are of one clock. Work that begins and ends later than its power, by as much at both ends, was
 * noted by a clock that is ahead. A scored part of the work that is shorter than it, or longer, is moved at one end, or against the other.
 */
export function auditRunTimes({ runs, loads, intervalS }: RunTimesView): readonly Finding[] {
  const given = runs.filter((run) => run.placedBy === 'times')
  const edges = loads.map((load) =>
    edgesOf(
      load,
      given.filter((run) => isOf(run, load)),
    ),
  )
  const starts = edges.flatMap((of) => of.starts)
  const ends = edges.flatMap((of) => of.ends)
  if (starts.length === 0) return []
  const least = Math.max(NOTED_LATE_S, 2 * intervalS)
  const [startS, endS] = [quantile(starts, 0.5), quantile(ends, 0.5)]
  const movedS = (startS + endS) / 2
  const near = Math.max(ALIKE_S, intervalS)
  const alike = [...starts, ...ends].filter((edge) => Math.abs(edge - movedS) <= near)
  if (Math.abs(movedS) <= least || alike.length < 0.8 * (starts.length + ends.length)) return []
  const lengthS = quantile(
    given.map((run) => run.endS - run.startS),
    0.5,
  )
  return [sayMoved(movedS, Math.abs(movedS) > MOVED_FAR * lengthS, given[0]!)]
}

function isOf(run: PlacedRun, load: Load): boolean {
  return run.endS > load.startS && run.startS < load.endS
}

/** How much later runs begin and end than the log's; of a load without pauses its first and last, which may be of one run or of many. */
function edgesOf({ startS, endS, runs }: Load, given: readonly PlacedRun[]) {
  if (given.length === 0) return { starts: [], ends: [] }
  if (runs.length < 2) {
    return {
      starts: [Math.min(...given.map((run) => run.startS)) - startS],
      ends: [Math.max(...given.map((run) => run.endS)) - endS],
    }
  }
  const nearest = (atS: number, edges: readonly number[]) =>
    edges.map((edge) => atS - edge).reduce((best, each) => (Math.abs(each) < Math.abs(best) ? each : best))
  return {
    starts: given.map((run) =>
      nearest(
        run.startS,
        runs.map((each) => each.startS),
      ),
    ),
    ends: given.map((run) =>
      nearest(
        run.endS,
        runs.map((each) => each.endS),
      ),
    ),
  }
}

function sayMoved(movedS: number, isFar: boolean, first: PlacedRun): Finding {
  const late = movedS > 0
  const byS = formatQuantity(Math.abs(movedS), 'time', 2)
  return {
    code: 'run-times-moved',
    severity: isFar ? 'unsafe' : 'caution',
    message: `The runs begin and end ${byS} ${late ? 'later' : 'earlier'} than the work in the log: they were noted by a clock that is ${late ? 'ahead' : 'behind'}. Scores are then paired with the power of another time. ${late ? 'Take' : 'Add'} ${byS} ${late ? 'from' : 'to'} every start and end, or leave them out: runs are then found in the log.`,
    atS: first.startS,
  }
}
