import type { Trace } from '../../log/trace.js'
import { findLoads } from '../../segment/findLoads.js'
import type { HoldLabel, StageLabel } from '../../segment/load.js'

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
}

/**
 * Judges the trace so far as `stages` would, and tells the stage that it ends in.
 *
 * @returns undefined when there is no load yet, or the trace ends in a pause longer than those inside a load
 */
export function judgeStage(trace: Trace): PresentStage | undefined {
  if (trace.timesS.length < FEWEST_SAMPLES) return undefined
  const load = findLoads(trace).at(-1)
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
  }
}

// Too few for noise to be told from steps.
const FEWEST_SAMPLES = 10
// A load that ended so long ago is not what the machine does now.
const LONGEST_PAUSE_S = 30
