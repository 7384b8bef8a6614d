import { type LoopMachine, laidOut } from './loopMachine.js'
import { advance, integrate, isSameState, type LoopState, rememberedState, restedState } from './loopState.js'
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
  if (!onSegment) return withRepeats(distinctRuns(machine, plan), plan)
  const pass = { gapBeforeS: plan.gapS, work: plan.work, durationS: plan.durationS }
  const passes = Array.from({ length: plan.runs }, (_, k) => (k > 0 ? pass : { ...pass, gapBeforeS: 0 }))
  return simulatePasses(machine, { passes, rate: plan.rate }, onSegment)
}

/** The runs of a loop up to the first that all later ones repeat, or that never ends; at most as many as planned. */
function distinctRuns(given: LoopMachine, plan: LoopPlan): LoopRun[] {
  const machine = laidOut(given)
  const pass = { gapBeforeS: plan.gapS, work: plan.work, durationS: plan.durationS }
  const state = restedState(machine)
  const runs: LoopRun[] = []
  let before: number[] | null = null
  while (runs.length < plan.runs) {
    if (runs.length > 0) pause(state, machine, plan.gapS)
    const run = simulateRun(state, machine, pass, plan.rate)
    runs.push(run)
    const now = rememberedState(state, machine)
    if ((before !== null && isSameState(before, now)) || run.unfinished) break
    before = now
  }
  return runs
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

export function simulateRun(
  state: LoopState,
  machine: LoopMachine,
  pass: LoopPass,
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
