import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

/** A machine of 100 W that idles at 6 W, with no limit; tests give it theirs. */
export const PLAIN_MACHINE: LoopMachine = {
  idleW: 6,
  peakW: 100,
  budgets: [],
  givesWay: 'headroom',
  heat: null,
  timedSteps: [],
  responseS: 0,
}
