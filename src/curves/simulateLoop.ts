import { averageAtDrop, headroomGain, LATCH_RELEASE, type LoopMachine } from './loopMachine.js'
import { powerToReach } from './thermalNetwork.js'

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
}

/** A stretch of constant power. */
export interface LoopSegment {
  readonly startS: number
  readonly forS: number
  readonly powerW: number
}

/** Told of every stretch in order, pauses included. */
export type OnSegment = (segment: LoopSegment) => void

/**
 * Power over time and the runs of a looped workload, in closed loop and by exact steps.
 *
 * At each step the power is the least of: peak, what every budget allows, every timed step's limit once its time has come,
 * and, at the ceiling, what a heat controller allows (or the
 * power that keeps the temperature there). The step lasts until the next of these events, or until
 * the run's work is done; averages and temperatures at its end are closed forms. Only power that itself glides (towards a
 * new limit, or with heat) is cut into short steps of equal energy.
 *
 * A pause of 30 s or more ends a load, so that timed steps begin anew (contract: shorter pauses belong to the load).
 *
 * @returns as many runs as planned; times count from the start of the first
 * @source solutions of a' = (P - a)/tau and tau x' = R P - x at constant P
 * @example simulateLoop(machine, { runs: 20, gapS: 5, work: null, durationS: 60, rate: (w) => w })[19]?.energyJ
 */
export function simulateLoop(machine: LoopMachine, plan: LoopPlan, onSegment?: OnSegment): LoopRun[] {
  const passes = Array.from({ length: plan.runs }, (_, k) => ({
    gapBeforeS: k > 0 ? plan.gapS : 0,
    work: plan.work,
    durationS: plan.durationS,
  }))
  return simulatePasses(machine, { passes, rate: plan.rate }, onSegment)
}

/** Like `simulateLoop`, for passes that differ: a measured test's own runs and pauses, for instance. */
export function simulatePasses(
  machine: LoopMachine,
  plan: { readonly passes: readonly LoopPass[]; readonly rate: (powerW: number) => number },
  onSegment: OnSegment = () => {},
): LoopRun[] {
  const state = restedState(machine)
  return plan.passes.map((pass) => {
    pause(state, machine, pass.gapBeforeS, onSegment)
    return simulateRun(state, machine, { pass, rate: plan.rate, onSegment })
  })
}

/** A run that never ends (a rate near 0) is cut off after a day. */
const LONGEST_RUN_S = 86_400
/** Pauses of this length end a load (contract, "Words"). */
const LOAD_ENDING_PAUSE_S = 30
/** Within this share of a limit, an average or a temperature counts as being there: far above rounding, far below a watt. */
const AT_LIMIT = 1e-9
/** A glide nearer to its end than this share of the level is over: the rest is below what a log shows. */
const GLIDE_END = 0.005
/** Steps of a heat controller, s: about what its sensor and a log resolve. */
const CONTROL_STEP_S = 1
/** No step is shorter, so that a loop always moves on. */
const SHORTEST_STEP_S = 1e-6

interface LoopState {
  timeS: number
  /** Since the load's start, short pauses included. */
  loadS: number
  /** Power at this moment, W: a glide starts from it. */
  levelW: number
  /** How long the temperature has been pinned, s. */
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
  readonly stageDecays: Float64Array
}

interface Step {
  readonly powerW: number
  readonly forS: number
  /** Where the power glides to during the step. */
  readonly towardW: number | null
  readonly kind: 'held' | 'glide' | 'pinned' | 'controlled'
}

function restedState(machine: LoopMachine): LoopState {
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
    stageDecays: new Float64Array(machine.heat?.stages.length ?? 0),
  }
}

function pause(state: LoopState, machine: LoopMachine, gapS: number, onSegment: OnSegment): void {
  if (!(gapS > 0)) return
  onSegment({ startS: state.timeS, forS: gapS, powerW: machine.idleW })
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
  if (gapS >= LOAD_ENDING_PAUSE_S) state.loadS = 0
}

function simulateRun(
  state: LoopState,
  machine: LoopMachine,
  { pass, rate, onSegment }: { pass: LoopPass; rate: (powerW: number) => number; onSegment: OnSegment },
): LoopRun {
  const startS = state.timeS
  let energyJ = 0
  let work = 0
  for (let ended = false; !ended; ) {
    const elapsedS = state.timeS - startS
    const step = nextStep(state, machine)
    const stepRate = rate(step.powerW)
    const leftS = pass.work === null ? pass.durationS - elapsedS : (pass.work - work) / stepRate
    const restS = Math.min(leftS, LONGEST_RUN_S - elapsedS)
    ended = restS <= step.forS
    const forS = ended ? restS : step.forS
    onSegment({ startS: state.timeS, forS, powerW: step.powerW })
    advance(state, machine, step.powerW, forS)
    settle(state, machine, step, forS)
    energyJ += step.powerW * forS
    work += stepRate * forS
  }
  const durationS = state.timeS - startS
  return { startS, durationS, energyJ, meanRate: work / durationS }
}

/** The power now, and for how long it is sure not to change unless the run ends first. */
function nextStep(state: LoopState, machine: LoopMachine): Step {
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

/** Null while the controller is at rest: below the ceiling with nothing to make up for. */
function controlledStep(state: LoopState, machine: LoopMachine, capW: number): Step | null {
  const { ceilingRiseK, control } = machine.heat!
  const riseK = sum(state.risesK)
  if (state.integralW >= machine.peakW && !isAt(riseK, ceilingRiseK)) return null
  const allowedW = state.integralW - control!.wPerK * (riseK - ceilingRiseK)
  const powerW = Math.min(capW, Math.max(allowedW, machine.idleW))
  const forS = Math.min(CONTROL_STEP_S, timeToEvent(state, machine, powerW))
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
  if (machine.responseS === 0 || (budget.givesWay ?? machine.givesWay) === 'latch') return false
  return (budget.limitW - averageW) * headroomGain(budget.tauS, machine.responseS) < GLIDE_END * budget.limitW
}

function isAt(value: number, limit: number): boolean {
  return value >= limit * (1 - AT_LIMIT)
}

/** A budget that allows less than `capW` because its headroom is nearly used up: power glides to its limit. */
function yieldingStep(state: LoopState, machine: LoopMachine, capW: number): Step | null {
  if (machine.responseS === 0) return null
  let allowedW = Number.POSITIVE_INFINITY
  let towardW: number | null = null
  for (let i = 0; i < machine.budgets.length; i++) {
    const budget = machine.budgets[i]!
    const { limitW, tauS } = budget
    if (limitW >= capW || (budget.givesWay ?? machine.givesWay) === 'latch') continue
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
function pinnedStep(state: LoopState, machine: LoopMachine, capW: number): Step | null {
  const { heat } = machine
  if (!heat || !isAt(sum(state.risesK), heat.ceilingRiseK)) return null
  // Power changes fastest just after the ceiling is met: steps grow with the time since.
  const forS = Math.min(0.5 + 0.1 * state.pinnedS, 10)
  const powerW = powerToReach(heat.stages, { risesK: state.risesK, riseK: heat.ceilingRiseK, forS })
  if (powerW >= capW) return null
  return { powerW: Math.max(powerW, Math.min(machine.idleW, capW)), forS, towardW: null, kind: 'pinned' }
}

/** A short part of a glide at its own mean power, so that energy is exact. */
function glidingStep(state: LoopState, machine: LoopMachine, fromW: number, towardW: number): Step {
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

function advance(state: LoopState, machine: LoopMachine, powerW: number, forS: number): void {
  if (forS !== state.decaysForS) rememberDecays(state, machine, forS)
  const { averagesW, risesK, budgetDecays, stageDecays } = state
  for (let i = 0; i < averagesW.length; i++) {
    averagesW[i] = powerW + (averagesW[i]! - powerW) * budgetDecays[i]!
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

/** Many steps in a row are of equal length: their decays are worth keeping. */
function rememberDecays(state: LoopState, machine: LoopMachine, forS: number): void {
  state.decaysForS = forS
  for (let i = 0; i < state.budgetDecays.length; i++) {
    state.budgetDecays[i] = Math.exp(-forS / machine.budgets[i]!.tauS)
  }
  for (let i = 0; i < state.stageDecays.length; i++) {
    state.stageDecays[i] = Math.exp(-forS / machine.heat!.stages[i]!.tauS)
  }
}

function settle(state: LoopState, machine: LoopMachine, { kind, powerW, towardW }: Step, forS: number): void {
  state.levelW = towardW === null ? powerW : endOfGlide(powerW, towardW, forS / machine.responseS)
  if (kind === 'pinned') state.pinnedS += forS
  if (kind === 'held') state.pinnedS = 0
  integrate(state, machine, forS)
}

/** Moves the controller's integral by the temperature at the end of a step; at rest it stays where it is. */
function integrate(state: LoopState, machine: LoopMachine, forS: number): void {
  const { heat, peakW, idleW } = machine
  if (!heat?.control) return
  const aboveK = sum(state.risesK) - heat.ceilingRiseK
  if (aboveK < 0 && state.integralW >= peakW) return
  const movedW = state.integralW - heat.control.wPerKS * aboveK * forS
  state.integralW = Math.min(peakW, Math.max(idleW, movedW))
}

/** Where a glide ends that had this mean over so many of its time constants. */
function endOfGlide(meanW: number, towardW: number, timeConstants: number): number {
  return (
    towardW + ((meanW - towardW) * timeConstants * Math.exp(-timeConstants)) / -Math.expm1(-timeConstants)
  )
}

function sum(values: Float64Array): number {
  let total = 0
  for (let i = 0; i < values.length; i++) total += values[i]!
  return total
}
