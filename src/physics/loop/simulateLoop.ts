import { type LoopMachine, laidOut } from './loopMachine.js'
import { restedState } from './loopState.js'
import { settlingRuns } from './settlingRuns.js'
import {
  type LoopPass,
  type LoopPlan,
  type LoopRun,
  type OnSegment,
  pause,
  simulateRun,
} from './simulateRun.js'

/**
 * Power over time and the runs of a looped workload, in closed loop and by exact steps.
 *
 * At each step the power is the least of: peak, what every budget allows, every timed step's limit once its time has come,
 * and, at the ceiling, what a heat controller allows (or the power that keeps the temperature there). The step lasts until the
 * next of these events, or until the run's work is done; averages and temperatures at its end are closed forms. Only power
 * that itself glides (towards a new limit, or with heat) is cut into short steps of equal energy.
 *
 * After a pause of `TIMER_RESET_PAUSE_S` or more timed steps begin anew.
 * Where nobody follows the stretches, a loop whose state repeats from run to run is not run on: its last run stands for the rest; so does one that is cut off.
 *
 * @returns as many runs as planned; times count from the start of the first
 * @source solutions of a' = (P - a)/tau and tau x' = R P - x at constant P
 * @example simulateLoop(machine, { runs: 20, gapS: 5, work: null, durationS: 60, rate: (w) => w })[19]?.energyJ
 */
export function simulateLoop(machine: LoopMachine, plan: LoopPlan, onSegment?: OnSegment): LoopRun[] {
  if (!onSegment) return withRepeats(settlingRuns(laidOut(machine), plan, null), plan)
  const pass = { gapBeforeS: plan.gapS, work: plan.work, durationS: plan.durationS }
  const passes = Array.from({ length: plan.runs }, (_, k) => (k > 0 ? pass : { ...pass, gapBeforeS: 0 }))
  return simulatePasses(machine, { passes, rate: plan.rate }, onSegment)
}

/** A loop that has come to rest repeats its last run; times go on. */
function withRepeats(runs: LoopRun[], { runs: count, gapS }: LoopPlan): LoopRun[] {
  while (runs.length < count) {
    const { startS, durationS, energyJ, meanRate, unfinished } = runs.at(-1)!
    runs.push({ startS: startS + durationS + Math.max(0, gapS), durationS, energyJ, meanRate, unfinished })
  }
  return runs
}

/** Like `simulateLoop`, for passes that differ: a measured test's own runs and pauses, for instance. */
export function simulatePasses(
  given: LoopMachine,
  plan: { readonly passes: readonly LoopPass[]; readonly rate: (powerW: number) => number },
  onSegment?: OnSegment,
): LoopRun[] {
  const machine = laidOut(given)
  const state = restedState(machine)
  return plan.passes.map((pass) => {
    pause(state, machine, pass.gapBeforeS, onSegment)
    return simulateRun(state, machine, pass, plan.rate, onSegment)
  })
}
