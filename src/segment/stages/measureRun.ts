import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'
import type { Run } from '../load.js'
import type { WorkRange } from '../loads/workRanges.js'

/**
 * A run with its ends to a fraction of a sample, its energy and its mean power.
 *
 * A sample is the mean over the interval that ends at it, so the sample in which a run begins lies between idle and work by the
 * share of the interval that worked:
 *
 *   share = (sample - idle) / (work - idle)
 *
 * and likewise the sample in which it ends. Work there is the median of the next three samples inside.
 */
export function measureRun(trace: Trace, run: WorkRange, averaged: boolean): Run {
  // Of an instant only its interval is known: its middle is the best guess.
  const startS = averaged
    ? runStart(trace, run, run.idleBeforeW)
    : trace.timesS[run.from]! - 0.5 * intervalS(trace, run.from)
  const endS = averaged ? runEnd(trace, run, run.idleAfterW) : instantEnd(trace, run)
  let joules = 0
  const last = Math.min(run.to, trace.timesS.length - 1)
  for (let i = Math.max(0, run.from - 1); i <= last; i++) {
    const fromS = Math.max(startS, sampleStart(trace, i))
    const toS = Math.min(endS, trace.timesS[i]!)
    if (toS <= fromS) continue
    // A sample that averages over an edge worked at the power beside it for the share that is inside.
    joules += workPower(trace, run, i) * (toS - fromS)
  }
  return { startS, endS, meanW: joules / Math.max(endS - startS, 1e-9), energyWh: joules / 3600 }
}

function workPower(trace: Trace, run: IndexRange, i: number): number {
  const first = Math.min(run.from + 1, run.to - 1)
  const last = Math.max(run.to - 2, run.from)
  if (i <= run.from) return Math.max(trace.powerW[i]!, trace.powerW[first]!)
  if (i >= run.to - 1) return Math.max(trace.powerW[i]!, trace.powerW[last]!)
  return trace.powerW[i]!
}

function runStart(trace: Trace, run: IndexRange, idleW: number | null): number {
  if (run.from === 0 || idleW === null) return sampleStart(trace, run.from)
  const workW = quantile(
    trace.powerW.subarray(run.from + 1, Math.max(run.from + 2, Math.min(run.from + 4, run.to))),
    0.5,
  )
  const idleNoiseW = 0.05 * (workW - idleW)
  let startS =
    trace.timesS[run.from]! -
    intervalS(trace, run.from) * share(trace.powerW[run.from]!, idleW, workW, idleNoiseW)
  if (startS <= sampleStart(trace, run.from) + 1e-9) {
    startS -= intervalS(trace, run.from - 1) * share(trace.powerW[run.from - 1]!, idleW, workW, idleNoiseW)
  }
  return startS
}

function runEnd(trace: Trace, run: IndexRange, idleW: number | null): number {
  const last = run.to - 1
  if (run.to >= trace.timesS.length || idleW === null) return trace.timesS[last]!
  const workW = quantile(trace.powerW.subarray(Math.min(last - 1, Math.max(run.from, run.to - 4)), last), 0.5)
  const idleNoiseW = 0.05 * (workW - idleW)
  const lastShare = share(trace.powerW[last]!, idleW, workW, idleNoiseW)
  if (lastShare < 1) return sampleStart(trace, last) + intervalS(trace, last) * lastShare
  return (
    trace.timesS[last]! + intervalS(trace, run.to) * share(trace.powerW[run.to]!, idleW, workW, idleNoiseW)
  )
}

function instantEnd(trace: Trace, run: IndexRange): number {
  const nextS = trace.timesS[run.to]
  const lastS = trace.timesS[run.to - 1]!
  return nextS === undefined ? lastS : 0.5 * (lastS + nextS)
}

/** Share of an interval that worked; what differs from all or nothing by no more than noise is all or nothing. */
function share(powerW: number, idleW: number, workW: number, slackW: number): number {
  if (powerW <= idleW + slackW) return 0
  if (powerW >= workW - slackW) return 1
  return (powerW - idleW) / Math.max(workW - idleW, 1e-9)
}

function sampleStart(trace: Trace, i: number): number {
  return i > 0 ? trace.timesS[i - 1]! : trace.timesS[0]!
}

function intervalS(trace: Trace, i: number): number {
  return i > 0 ? trace.timesS[i]! - trace.timesS[i - 1]! : 0
}
