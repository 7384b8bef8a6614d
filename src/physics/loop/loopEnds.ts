import { loadCourse, runsAlong } from './loadCourse.js'
import { type LoopMachine, laidOut } from './loopMachine.js'
import { settlingRuns } from './settlingRuns.js'
import type { LoopPlan, LoopRun } from './simulateRun.js'

/** The runs of a loop that people tell: its first, and its last ones. */
export interface LoopEnds {
  /** How many runs the loop has. */
  readonly count: number
  readonly first: LoopRun
  /** The last three, in order; fewer when the loop has fewer. Their times of start leave out the runs that were not simulated. */
  readonly last: readonly LoopRun[]
}

/**
 * Loops in one machine, for as many chips as ask: what does not depend on the chip is worked out once, when it is first needed.
 *
 * That is the whole of the power over time where runs follow each other without pauses and nothing is held by heat. Other loops are
 * simulated, without the runs through which they only come to rest (`settlingRuns`).
 *
 * @example loopsIn(machine)({ runs: 20, gapS: 0, work: null, durationS: 60, rate: (w) => w }).last[2].energyJ
 */
export function loopsIn(given: LoopMachine): (plan: LoopPlan) => LoopEnds {
  const machine = laidOut(given)
  const course = machine.heat === null ? loadCourse(machine) : null
  return (plan) => {
    const runs = course && !(plan.gapS > 0) ? runsAlong(course, plan) : settlingRuns(machine, plan, LAST_RUNS)
    return endsOf(runs, plan.runs)
  }
}

const LAST_RUNS = 3

/** @param runs - up to the last, or to the first that all later ones repeat; a run that was skipped is left out */
function endsOf(runs: readonly (LoopRun | undefined)[], count: number): LoopEnds {
  const last: LoopRun[] = []
  for (let k = Math.max(0, count - LAST_RUNS); k < count; k++) last.push(runs[Math.min(k, runs.length - 1)]!)
  return { count, first: runs[0]!, last }
}
