import { powerToReach } from '../chassis/thermalNetwork.js'
import { averageAtDrop, headroomGain, type LoopMachine } from './loopMachine.js'
import { decaysOver, isAt, type LoopState, riseOf } from './loopState.js'

/** A stretch of constant power that is sure not to end by itself sooner. */
export interface LoopStep {
  readonly powerW: number
  readonly forS: number
  /** Where the power glides to during the step. */
  readonly towardW: number | null
  readonly kind: 'held' | 'glide' | 'pinned' | 'controlled'
}

/** The power now, and for how long it is sure not to change unless the run ends first. */
export function nextLoopStep(state: LoopState, machine: LoopMachine): LoopStep {
  const capW = settledCap(state, machine)
  const heated = machine.heat?.control
    ? controlledStep(state, machine, capW)
    : pinnedStep(state, machine, capW)
  const allowedW = heated?.powerW ?? capW
  const yielding = yieldingStep(state, machine, allowedW)
  if (yielding) return yielding
  if (heated?.kind === 'controlled') return heated
  // Heat moves its own target; only a fall much faster than that is a glide.
  const glideFromW = allowedW * (1 + (heated ? 4 : 1) * GLIDE_END)
  if (machine.responseS > 0 && state.levelW > glideFromW) {
    return glidingStep(state, machine, state.levelW, allowedW)
  }
  if (heated) return heated
  const forS = Math.min(timeToEvent(state, machine, capW), LONGEST_RUN_S)
  return { powerW: capW, forS: timeToCeiling(state, machine, capW, forS), towardW: null, kind: 'held' }
}

/**
 * Null while the controller is at rest: below the ceiling with nothing to make up for.
 *
 * The step's power is the one with which the controller's own law holds at the step's end, where power and temperature depend on
 * each other: P = I' - wPerK (T' - ceiling), I' = I - wPerKS (T' - ceiling) step, T' = kept + Z P. Both network and controller are
 * then passive, so the loop settles for any network, gain and step, also where temperature follows power at once.
 *
 * @source backward Euler of a proportional and integral controller; a feedback loop of two passive parts is stable (passivity theorem)
 */
function controlledStep(state: LoopState, machine: LoopMachine, capW: number): LoopStep | null {
  const { ceilingRiseK, control, stages } = machine.heat!
  if (state.integralW >= machine.peakW && !isAt(riseOf(state), ceilingRiseK)) return null
  const stepS = Math.min(Math.max(CONTROL_STEP_S, STEP_GROWTH * state.pinnedS), LONGEST_STEP_S)
  const decays = decaysOver(state, machine, stepS)
  let keptK = 0
  let impedance = 0
  for (let i = 0; i < stages.length; i++) {
    keptK += state.risesK[i]! * decays[i]!
    impedance += stages[i]!.rKPerW * (1 - decays[i]!)
  }
  const gain = control!.wPerK + control!.wPerKS * stepS
  const allowedW = (state.integralW + gain * (ceilingRiseK - keptK)) / (1 + gain * impedance)
  const powerW = Math.min(capW, Math.max(allowedW, machine.idleW))
  const forS = Math.min(stepS, timeToEvent(state, machine, powerW))
  return { powerW, forS, towardW: null, kind: 'controlled' }
}

/** The least of peak, timed steps, and budgets whose average has arrived. */
function settledCap(state: LoopState, machine: LoopMachine): number {
  let capW = machine.peakW
  for (let i = 0; i < machine.budgets.length; i++) {
    const { limitW } = machine.budgets[i]!
    if (limitW < capW && hasArrived(state, machine, i)) capW = limitW
  }
  for (const { limitW, afterS } of machine.timedSteps) {
    if (limitW < capW && isAt(state.loadS, afterS)) capW = limitW
  }
  return capW
}

function hasArrived(state: LoopState, machine: LoopMachine, i: number): boolean {
  const budget = machine.budgets[i]!
  const averageW = state.averagesW[i]!
  if (isAt(averageW, budget.limitW) || state.latched[i] === 1) return true
  if ((budget.givesWay ?? machine.givesWay) === 'latch') return false
  return (budget.limitW - averageW) * headroomGain(budget.tauS, machine.responseS) < GLIDE_END * budget.limitW
}

/** A budget that allows less than `capW` because its headroom is nearly used up: power glides to its limit. */
function yieldingStep(state: LoopState, machine: LoopMachine, capW: number): LoopStep | null {
  if (machine.responseS === 0) return null
  let allowedW = Number.POSITIVE_INFINITY
  let towardW: number | null = null
  for (let i = 0; i < machine.budgets.length; i++) {
    const budget = machine.budgets[i]!
    const { limitW, tauS } = budget
    if (hasArrived(state, machine, i)) continue
    if (!isAt(state.averagesW[i]!, averageAtDrop(machine, budget, capW))) continue
    const yieldedW = limitW + (limitW - state.averagesW[i]!) * headroomGain(tauS, machine.responseS)
    if (yieldedW < allowedW) {
      allowedW = Math.min(yieldedW, capW)
      towardW = limitW
    }
  }
  return towardW === null ? null : glidingStep(state, machine, allowedW, towardW)
}

/** Null while the temperature is below its ceiling, or when something else holds the power lower than heat would. */
function pinnedStep(state: LoopState, machine: LoopMachine, capW: number): LoopStep | null {
  const { heat } = machine
  if (!heat || !isAt(riseOf(state), heat.ceilingRiseK)) return null
  const forS = Math.min(0.5 + STEP_GROWTH * state.pinnedS, LONGEST_STEP_S)
  const powerW = powerToReach(heat.stages, { risesK: state.risesK, riseK: heat.ceilingRiseK, forS })
  if (powerW >= capW) return null
  return { powerW: Math.max(powerW, Math.min(machine.idleW, capW)), forS, towardW: null, kind: 'pinned' }
}

/** A short part of a glide at its own mean power, so that energy is exact. */
function glidingStep(state: LoopState, machine: LoopMachine, fromW: number, towardW: number): LoopStep {
  const fullS = machine.responseS / 2
  const meanOver = (forS: number) =>
    towardW + ((fromW - towardW) * machine.responseS * -Math.expm1(-forS / machine.responseS)) / forS
  const forS = Math.min(fullS, timeToEvent(state, machine, meanOver(fullS), towardW))
  return { powerW: meanOver(forS), forS, towardW, kind: 'glide' }
}

/** Budgets and timed steps: the earliest that would lower the power, but for the one that it is gliding to already. */
function timeToEvent(state: LoopState, machine: LoopMachine, powerW: number, towardW?: number): number {
  let forS = Number.POSITIVE_INFINITY
  for (let i = 0; i < machine.budgets.length; i++) {
    const budget = machine.budgets[i]!
    const averageW = state.averagesW[i]!
    if (powerW <= budget.limitW || budget.limitW === towardW) continue
    const dropW = averageAtDrop(machine, budget, powerW)
    if (isAt(averageW, dropW)) continue
    forS = Math.min(forS, budget.tauS * Math.log((powerW - averageW) / (powerW - dropW)))
  }
  for (const { limitW, afterS } of machine.timedSteps) {
    if (limitW < powerW && !isAt(state.loadS, afterS)) forS = Math.min(forS, afterS - state.loadS)
  }
  return Math.max(forS, SHORTEST_STEP_S)
}

/** When the temperature meets its ceiling at this power, or `forS` when it doesn't before. */
function timeToCeiling(state: LoopState, machine: LoopMachine, powerW: number, forS: number): number {
  const { heat } = machine
  if (!heat) return forS
  const riseAt = (tS: number) => {
    let riseK = 0
    for (let i = 0; i < heat.stages.length; i++) {
      const { rKPerW, tauS } = heat.stages[i]!
      const settledK = rKPerW * powerW
      riseK += settledK + (state.risesK[i]! - settledK) * Math.exp(-tS / tauS)
    }
    return riseK
  }
  if (riseAt(forS) < heat.ceilingRiseK) return forS
  let low = 0
  let high = forS
  while (high - low > SHORTEST_STEP_S) {
    const middle = (low + high) / 2
    if (riseAt(middle) < heat.ceilingRiseK) low = middle
    else high = middle
  }
  return high
}

/** A run that never ends (a rate of 0) is cut off after four months: near its power floor a chip may take days for minutes of work. */
export const LONGEST_RUN_S = 1e7
/** A glide nearer to its end than this share of the level is over: the rest is below what a log shows. */
const GLIDE_END = 0.005
/** Steps in which a heat controller begins, s: about what its sensor and a log resolve. */
export const CONTROL_STEP_S = 1
/** Power changes fastest just after the ceiling is met: steps are this share of the time since, s, and never longer than 10 s. */
const STEP_GROWTH = 0.1
const LONGEST_STEP_S = 10
/** No step is shorter, so that a loop always moves on. */
const SHORTEST_STEP_S = 1e-6
