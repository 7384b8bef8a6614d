import type { BudgetTruth, ChassisTruth } from './chassisTruth.js'
import type { ChipTruth } from './chipTruth.js'

/** What is run: idle, perhaps an earlier load, the test itself, idle again. */
export interface Schedule {
  readonly idleBeforeS: number
  readonly idleAfterS: number
  readonly plan:
    | { readonly form: 'hold'; readonly holdS: number }
    | { readonly form: 'loop'; readonly runs: number; readonly gapS: number; readonly work: number }
  /** Load of this length that ends `idleBeforeS` before the test (a machine not rested). */
  readonly earlierLoadS?: number
  /** Power above idle before the test, W (background work). */
  readonly backgroundW?: number
  readonly stepS?: number
}

export interface Simulation {
  readonly stepS: number
  readonly powerW: Float64Array
  readonly temperatureC: Float64Array
  readonly clockGHz: Float64Array
  /** What set the power at each step: 0 idle, 1 demand, 2 peak, 3 heat, 4 timed, 5 and above the budgets. */
  readonly limiter: Uint8Array
  readonly runs: readonly { readonly startS: number; readonly endS: number }[]
  readonly loadStartS: number
  readonly loadEndS: number
}

export const LIMITER = { idle: 0, demand: 1, peak: 2, heat: 3, timed: 4, budget: 5 } as const

/** Small-step integration of chip, chassis and schedule: every step asks each limit what it allows and takes the least. */
export function simulate(chip: ChipTruth, chassis: ChassisTruth, schedule: Schedule): Simulation {
  const stepS = schedule.stepS ?? 0.04
  const earlierS = schedule.earlierLoadS ?? 0
  const loadStartS = earlierS + schedule.idleBeforeS
  const machine = makeMachine(chip, chassis, stepS)
  const out = makeRecorder(stepS)
  const idleW = chip.idleW
  const backgroundW = idleW + (schedule.backgroundW ?? 0)
  const runs: { startS: number; endS: number }[] = []
  const idle = (seconds: number, powerW: number) => {
    const steps = Math.round(seconds / stepS)
    for (let i = 0; i < steps; i++) out.add(machine.rest(powerW))
  }
  const hold = (seconds: number) => {
    const steps = Math.round(seconds / stepS)
    for (let i = 0; i < steps; i++) out.add(machine.work())
  }
  hold(earlierS)
  idle(schedule.idleBeforeS, backgroundW)
  const plan = schedule.plan
  if (plan.form === 'hold') hold(plan.holdS)
  else
    for (let k = 0; k < plan.runs; k++) {
      const startS = out.timeS()
      let done = 0
      let last = 0
      while (done < plan.work) {
        const state = machine.work()
        last = chip.rateAtClock(state.clockGHz) * stepS
        done += last
        out.add(state)
      }
      // the run ends inside the step: the part of it that was needed
      runs.push({ startS, endS: out.timeS() - (stepS * (done - plan.work)) / last })
      if (k < plan.runs - 1) idle(plan.gapS, idleW)
    }
  const loadEndS = out.timeS()
  idle(schedule.idleAfterS, idleW)
  return { ...out.finish(), runs, loadStartS, loadEndS }
}

interface State {
  readonly powerW: number
  readonly clockGHz: number
  readonly temperatureC: number
  readonly limiter: number
}

function makeMachine(chip: ChipTruth, chassis: ChassisTruth, stepS: number) {
  const rises = chassis.thermal.map((stage) => stage.rKPerW * chip.idleW)
  const decays = chassis.thermal.map((stage) => Math.exp(-stepS / stage.tauS))
  const budgets = chassis.budgets.map((budget) => makeBudget(budget, chip.idleW, stepS))
  const heat = makeHeatController(chassis.ceilingC, stepS)
  const timed = makeTimedLimit(chassis.timed, stepS)
  let temperatureC = chassis.ambientC + rises.reduce((a, b) => a + b, 0)
  const advance = (powerW: number) => {
    temperatureC = chassis.ambientC
    for (let i = 0; i < rises.length; i++) {
      const settled = chassis.thermal[i]!.rKPerW * powerW
      rises[i] = settled + (rises[i]! - settled) * decays[i]!
      temperatureC += rises[i]!
    }
    for (const budget of budgets) budget.advance(powerW)
  }
  return {
    rest(powerW: number): State {
      advance(powerW)
      heat.release()
      timed.rest()
      return { powerW, clockGHz: 0.8, temperatureC, limiter: LIMITER.idle }
    },
    work(): State {
      const demandW = chip.demandAt(temperatureC)
      let capW = demandW
      let limiter: number = LIMITER.demand
      const offer = (allowedW: number, which: number) => {
        if (allowedW < capW) {
          capW = allowedW
          limiter = which
        }
      }
      offer(chassis.peakW, LIMITER.peak)
      offer(timed.allowed(capW), LIMITER.timed)
      for (let i = 0; i < budgets.length; i++) offer(budgets[i]!.allowed(capW), LIMITER.budget + i)
      offer(heat.allowed(temperatureC, capW), LIMITER.heat)
      const clockGHz = chip.clockAt(capW, temperatureC)
      const powerW = limiter === LIMITER.demand ? demandW : capW
      const state = { powerW, clockGHz, temperatureC, limiter }
      advance(powerW)
      return state
    },
  }
}

function makeBudget(budget: BudgetTruth, idleW: number, stepS: number) {
  const keep = Math.exp(-stepS / budget.tauS)
  const ease = 1 - Math.exp(-stepS / budget.easeS)
  let average = idleW
  let latchedW = Number.POSITIVE_INFINITY
  return {
    advance(powerW: number) {
      average = powerW + (average - powerW) * keep
    },
    allowed(askedW: number): number {
      if (budget.style === 'proportional')
        return budget.limitW + (budget.limitW - average) * (budget.tauS / budget.easeS)
      if (average >= budget.limitW && latchedW === Number.POSITIVE_INFINITY) latchedW = askedW
      if (average < 0.97 * budget.limitW) latchedW = Number.POSITIVE_INFINITY
      if (latchedW !== Number.POSITIVE_INFINITY) latchedW += (budget.limitW - latchedW) * ease
      return latchedW
    },
  }
}

/** Proportional-integral control of the ceiling in velocity form: gives way as the temperature nears it. */
function makeHeatController(ceilingC: number, stepS: number) {
  const perKelvin = 1.6
  const perKelvinSecond = 0.9
  let allowedW = Number.POSITIVE_INFINITY
  let lastC = Number.NaN
  return {
    release() {
      allowedW = Number.POSITIVE_INFINITY
      lastC = Number.NaN
    },
    allowed(temperatureC: number, askedW: number): number {
      if (allowedW === Number.POSITIVE_INFINITY && temperatureC < ceilingC) return allowedW
      const change = Number.isNaN(lastC) ? 0 : temperatureC - lastC
      lastC = temperatureC
      const from = Math.min(allowedW, askedW)
      allowedW = from - perKelvin * change + perKelvinSecond * (ceilingC - temperatureC) * stepS
      if (temperatureC < ceilingC - 4) this.release()
      return Math.max(5, allowedW)
    },
  }
}

/** Counts time at load; pauses under 30 s count too, a longer rest starts the count again. */
function makeTimedLimit(timed: ChassisTruth['timed'], stepS: number) {
  let loadS = 0
  let restS = 0
  let allowedW = Number.POSITIVE_INFINITY
  return {
    rest() {
      restS += stepS
      if (loadS > 0) loadS += stepS
      if (restS >= 30) {
        loadS = 0
        allowedW = Number.POSITIVE_INFINITY
      }
    },
    allowed(askedW: number): number {
      restS = 0
      loadS += stepS
      if (timed === undefined || loadS < timed.afterS) return Number.POSITIVE_INFINITY
      if (allowedW === Number.POSITIVE_INFINITY) allowedW = askedW
      allowedW += (timed.limitW - allowedW) * (1 - Math.exp(-stepS / timed.easeS))
      return allowedW
    },
  }
}

/** Rows of a simulation, in arrays that double as they fill. */
function makeRecorder(stepS: number) {
  let [powerW, temperatureC, clockGHz] = [1, 2, 3].map(() => new Float64Array(FIRST_STEPS)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  let limiter = new Uint8Array(FIRST_STEPS)
  let count = 0
  const grow = () => {
    powerW = twiceAsLong(powerW)
    temperatureC = twiceAsLong(temperatureC)
    clockGHz = twiceAsLong(clockGHz)
    limiter = twiceAsLong(limiter)
  }
  return {
    timeS: () => count * stepS,
    add(state: State) {
      if (count === powerW.length) grow()
      powerW[count] = state.powerW
      temperatureC[count] = state.temperatureC
      clockGHz[count] = state.clockGHz
      limiter[count] = state.limiter
      count += 1
    },
    finish: () => ({
      stepS,
      powerW: powerW.slice(0, count),
      temperatureC: temperatureC.slice(0, count),
      clockGHz: clockGHz.slice(0, count),
      limiter: limiter.slice(0, count),
    }),
  }
}

const FIRST_STEPS = 1 << 16

function twiceAsLong<A extends Float64Array | Uint8Array>(values: A): A {
  const longer = new (values.constructor as new (length: number) => A)(2 * values.length)
  longer.set(values)
  return longer
}
