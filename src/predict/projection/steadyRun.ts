import { mean } from '../../numeric/statistics/moments.js'
import type { Chip } from '../../physics/chip/chip.js'
import { scoreFromRate } from '../../physics/chip/chipAt.js'
import { loopsIn } from '../../physics/loop/loopEnds.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { USUAL_RUN_S } from '../../physics/loop/usualLoop.js'

/** One possible chip in a loop: its rate, and the work of a run. */
export interface LoopedChip {
  readonly chip: Chip
  readonly rate: (powerW: number) => number
}

/**
 * Steady run of a loop in one exactly known machine: mean of the last three runs.
 *
 * @returns score in the workload's unit, mean power in W, and length of a run in s
 */
export function steadyRun(
  machine: LoopMachine,
  looped: LoopedChip,
  loop: { readonly runs: number; readonly gapS: number },
): { readonly score: number; readonly meanW: number; readonly durationS: number } {
  const work = looped.chip.workPerRun?.value ?? null
  const { last } = loopsIn(machine)({ ...loop, work, durationS: USUAL_RUN_S, rate: looped.rate })
  const durationS = mean(last.map((run) => run.durationS))!
  return {
    // What never ends has no rate.
    score: mean(last.map((run) => scoreFromRate(looped.chip.workload, run.unfinished ? 0 : run.meanRate)))!,
    meanW: mean(last.map((run) => run.energyJ))! / durationS,
    durationS,
  }
}
