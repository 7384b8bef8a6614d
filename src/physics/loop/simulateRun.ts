import type { LoopMachine } from './loopMachine.js'
import { advance, integrate, type LoopState } from './loopState.js'
import { CONTROL_STEP_S, LONGEST_RUN_S, nextLoopStep } from './nextLoopStep.js'
import { takeLoopStep } from './takeLoopStep.js'

/** What is run: `work` in rate x seconds ends a run, or, where the work is unknown, `durationS` does. */
export interface LoopPlan {
  readonly runs: number
  readonly gapS: number
  readonly work: number | null
  readonly durationS: number
  readonly rate: (powerW: number) => number
}

/** One pass of work after a pause. */
export interface LoopPass {
  readonly gapBeforeS: number
  readonly work: number | null
  readonly durationS: number
}

/** One run of a simulated loop. */
export interface LoopRun {
  readonly startS: number
  readonly durationS: number
  readonly energyJ: number
  /** Time-mean of the rate. */
  readonly meanRate: number
  /** Cut off, its work undone: no power for it. */
  readonly unfinished: boolean
}

/** A stretch of constant power. */
export interface LoopSegment {
  readonly startS: number
  readonly forS: number
  readonly powerW: number
}

/** Told of every stretch in order, pauses included. */
export type OnSegment = (segment: LoopSegment) => void

/** Idle power for so long: what limits remember moves on. */
export function pause(state: LoopState, machine: LoopMachine, gapS: number, onSegment?: OnSegment): void {
  if (!(gapS > 0)) return
  onSegment?.({ startS: state.timeS, forS: gapS, powerW: machine.idleW })
  let leftS = gapS
  if (machine.heat?.control?.restsInPauses) state.integralW = machine.peakW
  while (machine.heat?.control && state.integralW < machine.peakW && leftS > CONTROL_STEP_S) {
    advance(state, machine, machine.idleW, CONTROL_STEP_S)
    integrate(state, machine, CONTROL_STEP_S)
    leftS -= CONTROL_STEP_S
  }
  advance(state, machine, machine.idleW, leftS)
  integrate(state, machine, leftS)
  state.levelW = machine.idleW
  state.pinnedS = 0
  if (gapS >= TIMER_RESET_PAUSE_S) state.loadS = 0
}

/** One pass of work from a state on, which is moved to its end; the pause before it is not its own. */
export function simulateRun(
  state: LoopState,
  machine: LoopMachine,
  pass: Pick<LoopPass, 'work' | 'durationS'>,
  rate: (powerW: number) => number,
  onSegment?: OnSegment,
): LoopRun {
  const startS = state.timeS
  let energyJ = 0
  let work = 0
  let unfinished = false
  for (let ended = false, steps = 0; !ended && !unfinished; steps++) {
    const elapsedS = state.timeS - startS
    const step = nextLoopStep(state, machine)
    const stepRate = rate(step.powerW)
    const leftS = pass.work === null ? pass.durationS - elapsedS : (pass.work - work) / stepRate
    const restS = Math.min(leftS, LONGEST_RUN_S - elapsedS)
    ended = restS <= step.forS
    const forS = ended ? restS : step.forS
    onSegment?.({ startS: state.timeS, forS, powerW: step.powerW })
    takeLoopStep(state, machine, step, forS)
    energyJ += step.powerW * forS
    work += stepRate * forS
    unfinished = pass.work !== null && (ended ? leftS > restS : steps >= MOST_STEPS)
  }
  const durationS = state.timeS - startS
  return { startS, durationS, energyJ, meanRate: work / durationS, unfinished }
}

/** What heat, followed in steps of a second, asks of a run of eleven hours: one that takes more is cut off. */
export const MOST_STEPS = 40_000

/** The timer of a timed step counts through shorter pauses; common practice, no source. */
const TIMER_RESET_PAUSE_S = 30
