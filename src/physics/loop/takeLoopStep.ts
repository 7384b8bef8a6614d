import type { LoopMachine } from './loopMachine.js'
import { advance, integrate, type LoopState } from './loopState.js'
import type { LoopStep } from './nextLoopStep.js'

/**
 * Moves a state through a step, or through its first `forS` seconds: averages, temperatures, and where power is at the end.
 *
 * @param step - as `nextLoopStep` gave it for this state
 * @param forS - s, > 0, at most the step's own length
 */
export function takeLoopStep(state: LoopState, machine: LoopMachine, step: LoopStep, forS: number): void {
  const { kind, powerW, towardW } = step
  advance(state, machine, powerW, forS)
  state.levelW = towardW === null ? powerW : endOfGlide(powerW, towardW, forS / machine.responseS)
  if (kind === 'pinned' || kind === 'controlled') state.pinnedS += forS
  if (kind === 'held') state.pinnedS = 0
  integrate(state, machine, forS)
}

/** Where a glide ends that had this mean over so many of its time constants. */
function endOfGlide(meanW: number, towardW: number, timeConstants: number): number {
  return (
    towardW + ((meanW - towardW) * timeConstants * Math.exp(-timeConstants)) / -Math.expm1(-timeConstants)
  )
}
