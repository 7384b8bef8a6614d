import type { Chip } from '../../physics/chip/chip.js'
import { scoreFromRate } from '../../physics/chip/chipAt.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { simulateLoop } from '../../physics/loop/simulateLoop.js'

/** One possible chip in a loop: its rate, and the work of a run. */
export interface LoopedChip {
  readonly chip: Chip
  readonly rate: (powerW: number) => number
}

/** Length of a run whose work is unknown, s: about what a looped test takes; common practice, no source. */
const NOMINAL_RUN_S = 60
const STEADY_RUNS = 3

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
  const runs = simulateLoop(machine, { ...loop, work, durationS: NOMINAL_RUN_S, rate: looped.rate })
  const last = runs.slice(-STEADY_RUNS)
  const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length
  const durationS = mean(last.map((run) => run.durationS))
  return {
    // What never ends has no rate.
    score: mean(last.map((run) => scoreFromRate(looped.chip.workload, run.unfinished ? 0 : run.meanRate))),
    meanW: mean(last.map((run) => run.energyJ)) / durationS,
    durationS,
  }
}
