import type { Trace } from '../../log/trace.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { atLeastZero, ESTIMATE_EDGE } from '../../numeric/statistics/estimate.js'
import type { RunBounds } from '../stages/draftStages.js'

/**
 * Of what the pauses take off the mean power of a loop, the share by which work without pauses settles lower than the runs of the loop end,
 * with its standard error, and that of a run's end itself, as a share: a controller that starts anew with every run may still be on its way.
 *
 * Under heat, slow parts of the chassis follow the mean power, pauses included, and leave the runs more room than work without
 * pauses has: with thermal resistances R_slow and R_fast, end of run - settled = (end - mean) R_slow / (R_slow + R_fast). A task
 * that nothing limits draws a little less than without pauses, for its silicon stays cooler and leaks less. On generated worlds. Runs that
 * are flat from their first samples on are held by a limit or by the task.
 */
const SHARES = {
  heat: { value: 0.42, standardError: 0.16, endError: 0.006 },
  demand: { value: -0.025, standardError: 0.018, endError: 0.001 },
  limit: { value: 0, standardError: 0.02, endError: 0.002 },
  flat: { value: -0.01, standardError: 0.025, endError: 0.003 },
  unknown: { value: 0.2, standardError: 0.25, endError: 0.006 },
} as const

/** What holds the runs of a loop. */
export type LoopHold = keyof typeof SHARES

/** Level at which work without pauses would settle, from the level that the runs of a loop come to. */
export function withoutPauses(comesTo: Estimate, meanW: number, hold: LoopHold): Estimate {
  const { value: share, standardError, endError } = SHARES[hold]
  const takenW = comesTo.value - meanW
  const errorW = ESTIMATE_EDGE * Math.hypot(standardError * takenW, endError * comesTo.value)
  const edge = (side: number) => Math.hypot(side, errorW)
  const value = comesTo.value - share * takenW
  return atLeastZero({
    ...comesTo,
    value,
    low: value - edge(comesTo.value - comesTo.low),
    high: value + edge(comesTo.high - comesTo.value),
  })
}

/** Mean power over whole rounds of a loop, pauses included, W: from the beginning of the first of these runs to that of the last. */
export function roundMean({ timesS, powerW }: Trace, runs: readonly RunBounds[]): number {
  const [fromS, toS] = [runs[0]!.startS, runs.at(-1)!.startS]
  let joules = 0
  for (let i = 1; i < timesS.length; i++) {
    const insideS = Math.min(toS, timesS[i]!) - Math.max(fromS, timesS[i - 1]!)
    if (insideS > 0) joules += powerW[i]! * insideS
  }
  return joules / (toS - fromS)
}
