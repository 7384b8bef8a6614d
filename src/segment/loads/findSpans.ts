import type { Trace } from '../../log/trace.js'
import type { IndexRange } from '../indexRange.js'
import { cutAtDips } from './cutAtDips.js'
import { findActivity } from './findActivity.js'
import { groupRounds } from './groupRounds.js'
import { joinFlicker } from './joinFlicker.js'
import { joinSwings } from './joinSwings.js'
import { findPowerLevels } from './powerLevels.js'
import { lengthOf } from './roundLikeness.js'
import { findWorkRanges, type WorkRange } from './workRanges.js'

/** A stretch of work as sample indices: samples `from` to `to - 1` run, apart from the pauses between runs. */
export interface Span extends IndexRange {
  readonly runs: readonly WorkRange[]
}

/**
 * Loads of a trace as ranges of samples, with the pauses inside them.
 *
 * The log is cut into levels, the levels into idle and work, and the work is grouped into loads by likeness. What is over within seconds
 * is a blip and no load. A log that never idles is one load.
 */
export function findSpans(trace: Trace, work = findWork(trace)): readonly Span[] {
  const groups = groupRounds(trace, work)
  return dropBlips(trace, groups).map((runs) => ({
    from: runs[0]!.from,
    to: runs.at(-1)!.to,
    runs: isUnresolved(runs) ? [{ ...spanOf(runs), unresolved: true }] : runs,
  }))
}

/** Of a load that its samples mostly do not follow no run is told. */
function isUnresolved(runs: readonly WorkRange[]): boolean {
  const samplesOf = (some: readonly WorkRange[]) => some.reduce((sum, { from, to }) => sum + to - from, 0)
  return 2 * samplesOf(runs.filter(({ unresolved }) => unresolved)) > samplesOf(runs)
}

function spanOf(runs: readonly WorkRange[]): WorkRange {
  const [first, last] = [runs[0]!, runs.at(-1)!]
  return {
    from: first.from,
    to: last.to,
    idleBeforeW: first.idleBeforeW,
    idleAfterW: last.idleAfterW,
  }
}

/** All stretches of work in a trace, blips too. */
export function findWork(trace: Trace): readonly WorkRange[] {
  // A column of zeros, or a counter that stands still, is no load of 0 W.
  if (!trace.powerW.some((watts) => watts > 0)) return []
  const log = findPowerLevels(trace)
  const ranges = findWorkRanges(trace, log.levels, findActivity(log))
  const work = joinSwings(trace, joinFlicker(trace, ranges))
  return cutAtDips(trace, log.levels, work).filter(({ from, to }) => to - from >= 2)
}

/** Work that is over sooner is a blip, s; weak work has to last longer, or it is the background. Common practice, no source. */
const LEAST_S = 8
const LEAST_WEAK_S = 20
/** Weak work rises above idle by less than this share of what the strongest does. */
const WEAK_SHARE = 0.3

function dropBlips(
  trace: Trace,
  groups: readonly (readonly WorkRange[])[],
): readonly (readonly WorkRange[])[] {
  const sized = groups.map((runs) => {
    const workS = runs.reduce((sum, run) => sum + lengthOf(trace, run), 0)
    return { runs, workS, riseW: riseOf(trace, runs) }
  })
  const lasting = sized.filter(({ workS }) => workS >= LEAST_S)
  // A log of nothing but a short load still has that load.
  if (lasting.length === 0)
    return sized
      .filter(({ workS }) => workS === Math.max(...sized.map((g) => g.workS)))
      .map(({ runs }) => runs)
  const mostW = Math.max(...lasting.map(({ riseW }) => riseW))
  return lasting
    .filter(({ workS, riseW }) => workS >= LEAST_WEAK_S || riseW >= WEAK_SHARE * mostW)
    .map(({ runs }) => runs)
}

/** Mean power of the runs above the idle power beside them, W. */
function riseOf({ powerW }: Trace, runs: readonly WorkRange[]): number {
  let sum = 0
  let count = 0
  for (const { from, to } of runs) {
    for (let i = from; i < to; i++) sum += powerW[i]!
    count += to - from
  }
  const idleW = runs[0]!.idleBeforeW ?? runs.at(-1)!.idleAfterW ?? 0
  return sum / Math.max(count, 1) - idleW
}
