import type { Trace } from '../../log/trace.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { findLoads } from '../../segment/findLoads.js'
import type { HoldLabel, Load, StageLabel } from '../../segment/load.js'

/** The stage that a recording is in, as `stages` would call it now. */
export interface PresentStage {
  readonly number: number
  readonly label: StageLabel
  /** Since when, s of the trace. */
  readonly sinceS: number
  readonly levelW: number
  readonly heldBy: HoldLabel
  /** Whether the power has settled. */
  readonly settled: boolean
  /** Where the power settles: measured when settled, else extrapolated. */
  readonly headsToW: Estimate
  /** How long it has been flat by now, and how long the load had lasted before, s; 0 and 0 while it has not settled. */
  readonly flatForS: number
  readonly beforeS: number
  /** When it will have settled, s of the trace; null where that is not known, or has come. */
  readonly settlesAtS: number | null
}

/**
 * Judges the trace so far as `stages` would, and tells the stage that it ends in.
 *
 * @returns undefined when there is no load yet, or the trace ends in a pause longer than those inside a load
 */
export function judgeStage(trace: Trace): PresentStage | undefined {
  return trace.timesS.length < FEWEST_SAMPLES ? undefined : presentStage(trace, findLoads(trace))
}

/** The same from loads that are found already. */
export function presentStage(trace: Trace, loads: readonly Load[]): PresentStage | undefined {
  const load = loads.at(-1)
  const stage = load?.stages.at(-1)
  if (load === undefined || stage === undefined) return undefined
  if (trace.timesS.at(-1)! - load.endS > LONGEST_PAUSE_S) return undefined
  return {
    number: load.stages.length,
    label: stage.label,
    sinceS: stage.startS,
    levelW: stage.levelW.value,
    heldBy: stage.heldBy.label,
    settled: load.sustained.reached,
    headsToW: load.sustained.levelW,
    settlesAtS: settlesAtS(load),
    ...flatTimes(load),
  }
}

function flatTimes({ startS, endS, stages, sustained: { reached, fromS } }: Load) {
  if (!reached) return { flatForS: 0, beforeS: 0 }
  const sinceS = Math.max(fromS ?? startS, stages.at(-1)!.startS)
  return { flatForS: endS - sinceS, beforeS: sinceS - startS }
}

/**
 * Whether the sustained level is known to a per cent: it was reached, its interval goes no further to either side, and it has been flat
 * for `LONG_FLAT_S` and for as long as the load had lasted before. Whoever looks at a log over and over, and ends it at the first
 * level that looks settled, else ends it between two limits: in the study of `tests/study/settled-stream.md` in two of five tests.
 */
export function isKnownToPercent({ settled, headsToW, flatForS, beforeS }: PresentStage): boolean {
  const { value, low, high } = headsToW
  return (
    settled &&
    flatForS >= Math.max(LONG_FLAT_S, beforeS) &&
    Math.max(high - value, value - low) <= 0.01 * value
  )
}

/** @source the study in `tests/study/settled-stream.md`: with 5 min one end in ten is wrong, with 8 min one in thirty */
const LONG_FLAT_S = 480

function settlesAtS({ startS, sustained: { reached, settleAfterS } }: Load): number | null {
  return reached || settleAfterS === null ? null : startS + settleAfterS.value
}

// Too few for noise to be told from steps.
const FEWEST_SAMPLES = 10
// A load that ended so long ago is not what the machine does now.
const LONGEST_PAUSE_S = 30
