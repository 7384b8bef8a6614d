import { LATCH_RELEASE, type LoopMachine } from './loopMachine.js'

/** Where a simulated loop stands: what its limits remember. Moved on in place, as a loop takes thousands of steps. */
export interface LoopState {
  timeS: number
  /** Since the load's start, short pauses included. */
  loadS: number
  /** Power at this moment, W: a glide starts from it. */
  levelW: number
  /** How long heat has held the power, s. */
  pinnedS: number
  /** Integral part of what the heat controller allows, W; at the machine's peak it is at rest. */
  integralW: number
  readonly averagesW: Float64Array
  readonly risesK: Float64Array
  /** 1 for budgets that have latched and not been released. */
  readonly latched: Uint8Array
  /** Decays of averages and rises over a step of `decaysForS`. */
  decaysForS: number
  readonly budgetDecays: Float64Array
  readonly recoveries: Float64Array
  readonly stageDecays: Float64Array
}

/** A machine that has been idle for long. */
export function restedState(machine: LoopMachine): LoopState {
  return {
    timeS: 0,
    loadS: 0,
    levelW: machine.idleW,
    pinnedS: 0,
    integralW: machine.peakW,
    averagesW: new Float64Array(machine.budgets.length).fill(machine.idleW),
    risesK: Float64Array.from(machine.heat?.stages ?? [], (s) => s.rKPerW * machine.idleW),
    latched: new Uint8Array(machine.budgets.length),
    decaysForS: Number.NaN,
    budgetDecays: new Float64Array(machine.budgets.length),
    recoveries: new Float64Array(machine.budgets.length),
    stageDecays: new Float64Array(machine.heat?.stages.length ?? 0),
  }
}

/** Moves averages and rises through a stretch of constant power, exactly. */
export function advance(state: LoopState, machine: LoopMachine, powerW: number, forS: number): void {
  const stageDecays = decaysOver(state, machine, forS)
  const { averagesW, risesK, budgetDecays, recoveries } = state
  for (let i = 0; i < averagesW.length; i++) {
    const aboveW = averagesW[i]! - powerW
    averagesW[i] = powerW + aboveW * (aboveW > 0 ? recoveries[i]! : budgetDecays[i]!)
    const { limitW, givesWay } = machine.budgets[i]!
    if ((givesWay ?? machine.givesWay) !== 'latch') continue
    if (isAt(averagesW[i]!, limitW)) state.latched[i] = 1
    else if (averagesW[i]! < (1 - LATCH_RELEASE) * limitW) state.latched[i] = 0
  }
  for (let i = 0; i < risesK.length; i++) {
    const settledK = machine.heat!.stages[i]!.rKPerW * powerW
    risesK[i] = settledK + (risesK[i]! - settledK) * stageDecays[i]!
  }
  state.timeS += forS
  state.loadS += forS
}

/**
 * What is left of each stage's rise after a step without power. Many steps in a row are of equal length: their decays, and those of
 * the averages, are kept in the state.
 */
export function decaysOver(state: LoopState, machine: LoopMachine, forS: number): Float64Array {
  if (forS === state.decaysForS) return state.stageDecays
  state.decaysForS = forS
  for (let i = 0; i < state.budgetDecays.length; i++) {
    const { tauS, recoveryS } = machine.budgets[i]!
    state.budgetDecays[i] = Math.exp(-forS / tauS)
    state.recoveries[i] =
      recoveryS === undefined || recoveryS === tauS ? state.budgetDecays[i]! : Math.exp(-forS / recoveryS)
  }
  for (let i = 0; i < state.stageDecays.length; i++) {
    state.stageDecays[i] = Math.exp(-forS / machine.heat!.stages[i]!.tauS)
  }
  return state.stageDecays
}

/** Moves the controller's integral by the temperature at the end of a step; at rest it stays where it is. */
export function integrate(state: LoopState, machine: LoopMachine, forS: number): void {
  const { heat, peakW, idleW } = machine
  if (!heat?.control) return
  const aboveK = riseOf(state) - heat.ceilingRiseK
  if (aboveK < 0 && state.integralW >= peakW) return
  const movedW = state.integralW - heat.control.wPerKS * aboveK * forS
  state.integralW = Math.min(peakW, Math.max(idleW, movedW))
}

/** What a state hands on to the next run of a loop, in watts and kelvin, so that two can be compared. */
export function rememberedState(state: LoopState, machine: LoopMachine): number[] {
  const { averagesW, risesK, latched, integralW, levelW, loadS } = state
  // A step that is yet to come at a set time of the load keeps the loop from repeating.
  const waits = machine.timedSteps.some(({ afterS }) => !isAt(loadS, afterS))
  const values = [integralW, levelW, waits ? loadS : 0]
  for (let i = 0; i < averagesW.length; i++) values.push(averagesW[i]!, latched[i]!)
  for (let i = 0; i < risesK.length; i++) values.push(risesK[i]!)
  return values
}

/** Brings a state to what was remembered, or to what was worked out from it; what has latched stays so. */
export function recallState(state: LoopState, values: readonly number[]): void {
  const { averagesW, risesK } = state
  state.integralW = values[0]!
  state.levelW = values[1]!
  for (let i = 0; i < averagesW.length; i++) averagesW[i] = values[3 + 2 * i]!
  const from = 3 + 2 * averagesW.length
  for (let i = 0; i < risesK.length; i++) risesK[i] = values[from + i]!
}

/** Whether two remembered states are so alike that the runs after them differ by less than a millionth. */
export function isSameState(a: readonly number[], b: readonly number[]): boolean {
  for (let i = 0; i < a.length; i++) {
    if (!(Math.abs(a[i]! - b[i]!) <= SAME_STATE * Math.abs(a[i]!))) return false
  }
  return true
}

/** Of a state's values: what is left of a geometric approach is then below what six printed digits show. */
const SAME_STATE = 1e-7

/** Rise over ambient, K: the sum of the stages'. */
export function riseOf({ risesK: values }: LoopState): number {
  let total = 0
  for (let i = 0; i < values.length; i++) total += values[i]!
  return total
}

/** Within this share of a limit, an average or a temperature counts as being there: far above rounding, far below a watt. */
const AT_LIMIT = 1e-9

/** Whether an average, a temperature or a time has come to its limit. */
export function isAt(value: number, limit: number): boolean {
  return value >= limit * (1 - AT_LIMIT)
}
