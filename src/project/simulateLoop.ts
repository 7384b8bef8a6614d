import { powerToReach, type ThermalStage } from '../curves/thermalNetwork.js'

/** What decides the power at each moment of a loop, all known exactly: one draw of an uncertain chassis and chip. */
export interface LoopMachine {
  /** Power in the pauses and before the load, W. */
  readonly idleW: number
  /** The most that is ever drawn, W: the burst limit, or the workload's demand where that is less. */
  readonly peakW: number
  /** Running averages that may not exceed their limits. */
  readonly budgets: readonly { readonly limitW: number; readonly tauS: number }[]
  /** Foster network and the rise over ambient, K, at which power gives way; null where heat never decides. */
  readonly heat: { readonly stages: readonly ThermalStage[]; readonly ceilingRiseK: number } | null
  /** Limits that begin a set time after the start of a load, pauses included. */
  readonly timedSteps: readonly { readonly limitW: number; readonly afterS: number }[]
  /** Time constant with which the controller brings power down to a lower level, s; 0: at once. */
  readonly responseS: number
}

/** What is run: `work` in rate x seconds ends a run, or, where the work is unknown, `durationS` does. */
export interface LoopPlan {
  readonly runs: number
  readonly gapS: number
  readonly work: number | null
  readonly durationS: number
  readonly rate: (powerW: number) => number
}

/** One run of a simulated loop. */
export interface LoopRun {
  readonly startS: number
  readonly durationS: number
  readonly energyJ: number
  /** Time-mean of the rate. */
  readonly meanRate: number
}

/** A stretch of constant power. */
export interface LoopSegment {
  readonly startS: number
  readonly forS: number
  readonly powerW: number
}

/**
 * Power over time and the runs of a looped workload, in closed loop and by exact steps.
 *
 * At each step the power is the least of: peak, every budget's limit once its average is there, every timed step's limit
 * once its time has come, and, at the ceiling, the power that keeps the temperature there. The step lasts until the next
 * of these events, or until the run's work is done; averages and temperatures at its end are closed forms. Only power
 * that itself glides (towards a new limit, or with heat) is cut into short steps of equal energy.
 *
 * A pause of 30 s or more ends a load, so that timed steps begin anew (contract: shorter pauses belong to the load).
 *
 * @param onSegment - told of every stretch in order, pauses included; for drawing
 * @returns as many runs as planned
 * @source solutions of a' = (P - a)/tau and tau x' = R P - x at constant P
 * @example simulateLoop({ idleW: 5, peakW: 50, budgets: [], heat: null, timedSteps: [], responseS: 0 },
 *   { runs: 1, gapS: 0, work: 100, durationS: 60, rate: (w) => w / 10 })[0]?.durationS // 20
 */
export function simulateLoop(
  machine: LoopMachine,
  plan: LoopPlan,
  onSegment: (segment: LoopSegment) => void = () => {},
): LoopRun[] {
  const state = restedState(machine)
  const runs: LoopRun[] = []
  for (let k = 0; k < plan.runs; k++) {
    if (k > 0) pause(state, machine, plan.gapS, onSegment)
    runs.push(simulateRun(state, machine, plan, onSegment))
  }
  return runs
}

/** A run that never ends (a rate near 0) is cut off after a day. */
const LONGEST_RUN_S = 86_400
/** Pauses of this length end a load (contract, "Words"). */
const LOAD_ENDING_PAUSE_S = 30
/** Within this share of a limit, an average or a temperature counts as being there: far above rounding, far below a watt. */
const AT_LIMIT = 1e-9
/** A glide nearer to its end than this share is over: the rest is below what a log shows. */
const GLIDE_END = 0.01

interface LoopState {
  timeS: number
  /** Since the load's start, short pauses included. */
  loadS: number
  /** Power at this moment, W: a glide starts from it. */
  levelW: number
  /** How long the temperature has been pinned, s. */
  pinnedS: number
  readonly averagesW: Float64Array
  readonly risesK: Float64Array
}

interface Step {
  readonly powerW: number
  readonly forS: number
  /** Power at the end of the step when it glides there. */
  readonly glide: { readonly towardW: number } | null
  readonly pinned: boolean
}

function restedState(machine: LoopMachine): LoopState {
  return {
    timeS: 0,
    loadS: 0,
    levelW: machine.idleW,
    pinnedS: 0,
    averagesW: new Float64Array(machine.budgets.length).fill(machine.idleW),
    risesK: Float64Array.from(machine.heat?.stages ?? [], (s) => s.rKPerW * machine.idleW),
  }
}

function pause(
  state: LoopState,
  machine: LoopMachine,
  gapS: number,
  onSegment: (segment: LoopSegment) => void,
): void {
  if (!(gapS > 0)) return
  onSegment({ startS: state.timeS, forS: gapS, powerW: machine.idleW })
  advance(state, machine, machine.idleW, gapS)
  state.levelW = machine.idleW
  state.pinnedS = 0
  if (gapS >= LOAD_ENDING_PAUSE_S) state.loadS = 0
}

function simulateRun(
  state: LoopState,
  machine: LoopMachine,
  plan: LoopPlan,
  onSegment: (segment: LoopSegment) => void,
): LoopRun {
  const startS = state.timeS
  let energyJ = 0
  let work = 0
  for (;;) {
    const elapsedS = state.timeS - startS
    const step = nextStep(state, machine)
    const rate = plan.rate(step.powerW)
    const restS = plan.work === null ? plan.durationS - elapsedS : (plan.work - work) / rate
    const endsHere = restS <= step.forS || elapsedS + step.forS >= LONGEST_RUN_S
    const forS = endsHere ? Math.min(restS, LONGEST_RUN_S - elapsedS) : step.forS
    onSegment({ startS: state.timeS, forS, powerW: step.powerW })
    advance(state, machine, step.powerW, forS)
    settle(state, machine, step, forS)
    energyJ += step.powerW * forS
    work += rate * forS
    if (endsHere) break
  }
  const durationS = state.timeS - startS
  return { startS, durationS, energyJ, meanRate: work / durationS }
}

/** The power now, and for how long it is sure not to change unless the run ends first. */
function nextStep(state: LoopState, machine: LoopMachine): Step {
  const capW = unheatedCap(state, machine)
  const pinned = pinnedStep(state, machine, capW)
  const allowedW = pinned ? pinned.powerW : capW
  if (machine.responseS > 0 && state.levelW > allowedW * (1 + GLIDE_END)) {
    return glidingStep(state, machine, allowedW)
  }
  if (pinned) return pinned
  const forS = Math.min(timeToEvent(state, machine, capW), LONGEST_RUN_S)
  return { powerW: capW, forS: timeToCeiling(state, machine, capW, forS), glide: null, pinned: false }
}

function unheatedCap(state: LoopState, machine: LoopMachine): number {
  let capW = machine.peakW
  machine.budgets.forEach(({ limitW }, i) => {
    if (limitW < capW && isAt(state.averagesW[i] as number, limitW)) capW = limitW
  })
  for (const { limitW, afterS } of machine.timedSteps) {
    if (limitW < capW && isAt(state.loadS, afterS)) capW = limitW
  }
  return capW
}

function isAt(value: number, limit: number): boolean {
  return value >= limit * (1 - AT_LIMIT)
}

/** Null while the temperature is below its ceiling, or when something else holds the power lower than heat would. */
function pinnedStep(state: LoopState, machine: LoopMachine, capW: number): Step | null {
  const { heat } = machine
  if (!heat || !isAt(sum(state.risesK), heat.ceilingRiseK)) return null
  // Power changes fastest just after the ceiling is met: steps grow with the time since.
  const forS = Math.min(0.5 + 0.1 * state.pinnedS, 10)
  const powerW = powerToReach(heat.stages, {
    risesK: state.risesK,
    riseK: heat.ceilingRiseK,
    forS,
  })
  if (powerW >= capW) return null
  return { powerW: Math.max(powerW, Math.min(machine.idleW, capW)), forS, glide: null, pinned: true }
}

function glidingStep(state: LoopState, machine: LoopMachine, towardW: number): Step {
  const forS = machine.responseS / 2
  const share = (machine.responseS / forS) * -Math.expm1(-forS / machine.responseS)
  const powerW = towardW + (state.levelW - towardW) * share
  return {
    powerW,
    forS: Math.min(forS, timeToEvent(state, machine, powerW)),
    glide: { towardW },
    pinned: false,
  }
}

/** Budgets and timed steps: the earliest that would lower the power. Never 0, so that a loop always moves on. */
function timeToEvent(state: LoopState, machine: LoopMachine, powerW: number): number {
  let forS = Number.POSITIVE_INFINITY
  machine.budgets.forEach(({ limitW, tauS }, i) => {
    const averageW = state.averagesW[i] as number
    if (powerW <= limitW || isAt(averageW, limitW)) return
    forS = Math.min(forS, tauS * Math.log((powerW - averageW) / (powerW - limitW)))
  })
  for (const { limitW, afterS } of machine.timedSteps) {
    if (limitW < powerW && !isAt(state.loadS, afterS)) forS = Math.min(forS, afterS - state.loadS)
  }
  return Math.max(forS, 1e-6)
}

/** When the temperature meets its ceiling at this power, or `forS` when it doesn't before. */
function timeToCeiling(state: LoopState, machine: LoopMachine, powerW: number, forS: number): number {
  const { heat } = machine
  if (!heat) return forS
  const riseAt = (tS: number) =>
    heat.stages.reduce((rise, { rKPerW, tauS }, i) => {
      const settledK = rKPerW * powerW
      return rise + settledK + ((state.risesK[i] as number) - settledK) * Math.exp(-tS / tauS)
    }, 0)
  if (riseAt(forS) < heat.ceilingRiseK) return forS
  let low = 0
  let high = forS
  for (let i = 0; i < 60 && high - low > 1e-7; i++) {
    const middle = (low + high) / 2
    if (riseAt(middle) < heat.ceilingRiseK) low = middle
    else high = middle
  }
  return Math.max(high, 1e-6)
}

function advance(state: LoopState, machine: LoopMachine, powerW: number, forS: number): void {
  machine.budgets.forEach(({ tauS }, i) => {
    state.averagesW[i] = powerW + ((state.averagesW[i] as number) - powerW) * Math.exp(-forS / tauS)
  })
  machine.heat?.stages.forEach(({ rKPerW, tauS }, i) => {
    const settledK = rKPerW * powerW
    state.risesK[i] = settledK + ((state.risesK[i] as number) - settledK) * Math.exp(-forS / tauS)
  })
  state.timeS += forS
  state.loadS += forS
}

function settle(state: LoopState, machine: LoopMachine, step: Step, forS: number): void {
  state.levelW = step.glide
    ? step.glide.towardW + (state.levelW - step.glide.towardW) * Math.exp(-forS / machine.responseS)
    : step.powerW
  state.pinnedS = step.pinned ? state.pinnedS + forS : step.glide ? state.pinnedS : 0
}

function sum(values: Float64Array): number {
  let total = 0
  for (const value of values) total += value
  return total
}
