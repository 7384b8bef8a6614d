import type { LoopMachine } from './loopMachine.js'
import { isSameState, rememberedState, restedState } from './loopState.js'
import { restingRun, restsWithin } from './restingRun.js'
import { type LoopPlan, type LoopRun, pause, simulateRun } from './simulateRun.js'

/**
 * The runs of a loop up to the first that all later ones repeat, or that never ends; at most as many as planned.
 *
 * A loop that comes to rest is not followed all the way there: as soon as three runs, and again the next, show that it will before the last
 * of them, the run that repeats is looked for (`restingRun`). Three runs alone may lie where a swing turns.
 *
 * @param kept - runs at the end by which the loop must have come to rest; null: every run is simulated
 */
export function settlingRuns(machine: LoopMachine, plan: LoopPlan, kept: number | null): LoopRun[] {
  const state = restedState(machine)
  const runs: LoopRun[] = []
  let first: number[] | null = null
  let before: number[] | null = null
  let foreseen = false
  while (runs.length < plan.runs) {
    if (runs.length > 0) pause(state, machine, plan.gapS)
    const run = simulateRun(state, machine, plan, plan.rate)
    runs.push(run)
    const now = rememberedState(state, machine)
    if ((before !== null && isSameState(before, now)) || run.unfinished) break
    const left = kept === null ? 0 : plan.runs - kept - runs.length
    const rests = first !== null && left > 0 && restsWithin(left, [first, before!, now])
    if (rests && foreseen) {
      const resting = restingRun(machine, plan, state, [first!, before!, now])
      // The search has moved the state on: without a find, all begins anew.
      if (resting === null) return settlingRuns(machine, plan, null)
      runs.push(resting)
      break
    }
    foreseen = rests
    first = before
    before = now
  }
  return runs
}
