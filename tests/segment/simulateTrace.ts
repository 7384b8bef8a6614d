import type { Trace } from '../../src/log/trace.js'
import { type Random, seededRandom } from '../../src/numeric/statistics/random.js'

/** A made-up chassis under one workload, and the logger that watched it. Powers in W, times in s. */
export interface Scene {
  readonly idleW?: number
  /** What the workload asks for at 60 degC. */
  readonly demandW: number
  /** Part of the demand that grows per K. */
  readonly leakPerK?: number
  readonly peakW?: number
  readonly budgets?: readonly { readonly limitW: number; readonly tauS: number; readonly approachS: number }[]
  readonly timed?: { readonly limitW: number; readonly afterS: number }
  /** Proportional-integral control of the power to a temperature. */
  readonly heat?: { readonly ceilingC: number; readonly gainWPerK: number; readonly resetS: number }
  readonly ambientC?: number
  readonly thermal?: readonly { readonly rKPerW: number; readonly tauS: number }[]
  readonly leadS: number
  readonly tailS: number
  /** Work and pause, s, over and over until the load has lasted `holdS`; no runS: uninterrupted. */
  readonly holdS: number
  readonly runS?: number
  readonly gapS?: number
  readonly logger?: Partial<Logger>
}

export interface Logger {
  readonly everyS: number
  readonly jitter: number
  readonly noiseW: number
  readonly autocorrelation: number
  readonly quantumW: number
  readonly spikes: number
  readonly lost: number
  readonly averaged: boolean
  readonly temperature: boolean
}

export interface SimulatedTrace {
  readonly trace: Trace
  readonly startS: number
  readonly endS: number
  /** First time that each budget or timed limit came down, s of the log, in order of time. */
  readonly dropsS: readonly number[]
  readonly runsS: readonly { readonly startS: number; readonly endS: number }[]
}

const STEP_S = 0.05
const LOGGER: Logger = {
  everyS: 1,
  jitter: 0,
  noiseW: 0.5,
  autocorrelation: 0,
  quantumW: 0.01,
  spikes: 0,
  lost: 0,
  averaged: true,
  temperature: true,
}
const THERMAL = [
  { rKPerW: 0.12, tauS: 1.5 },
  { rKPerW: 0.2, tauS: 40 },
  { rKPerW: 0.2, tauS: 200 },
]

/** Power over time of a scene in steps of 50 ms, then as its logger would have written it. */
export function simulateTrace(scene: Scene, seed: number): SimulatedTrace {
  const course = runScene(scene)
  const { trace, firstS } = logCourse(course, { ...LOGGER, ...scene.logger }, seededRandom(seed))
  return {
    trace,
    startS: scene.leadS - firstS,
    endS: scene.leadS + scene.holdS - firstS,
    dropsS: course.dropsS.map((timeS) => timeS - firstS),
    runsS: course.runsS.map((run) => ({ startS: run.startS - firstS, endS: run.endS - firstS })),
  }
}

interface Course {
  readonly powerW: Float64Array
  readonly temperatureC: Float64Array
  readonly dropsS: readonly number[]
  readonly runsS: readonly { startS: number; endS: number }[]
}

function runScene(scene: Scene): Course {
  const idleW = scene.idleW ?? 6
  const count = Math.round((scene.leadS + scene.holdS + scene.tailS) / STEP_S)
  const powerW = new Float64Array(count)
  const temperatureC = new Float64Array(count)
  const thermal = scene.thermal ?? THERMAL
  const rises = thermal.map((stage) => stage.rKPerW * idleW)
  const budgets = (scene.budgets ?? []).map((budget) => startBudget(budget, idleW))
  const runsS: { startS: number; endS: number }[] = []
  const dropsS: number[] = []
  let integralW = 0
  for (let i = 0; i < count; i++) {
    const timeS = (i + 1) * STEP_S
    const sinceS = timeS - scene.leadS
    const heatC = (scene.ambientC ?? 24) + rises.reduce((sum, rise) => sum + rise, 0)
    const works = sinceS > 0 && sinceS <= scene.holdS && isWorking(scene, sinceS)
    noteRun(runsS, works, timeS)
    const demandW = scene.demandW * (1 + (scene.leakPerK ?? 0) * (heatC - 60))
    const wishW = Math.min(demandW, scene.peakW ?? demandW)
    let power = works ? wishW : idleW
    if (works && scene.timed && sinceS >= scene.timed.afterS) {
      if (sinceS - scene.timed.afterS < STEP_S) dropsS.push(timeS)
      power = Math.min(power, scene.timed.limitW)
    }
    for (const budget of budgets) {
      if (budget.advance(works, wishW, powerW[i - 1] ?? idleW)) dropsS.push(timeS)
      if (works) power = Math.min(power, budget.capW())
    }
    if (scene.heat) {
      const error = scene.heat.ceilingC - heatC
      integralW += (scene.heat.gainWPerK / scene.heat.resetS) * error * STEP_S
      integralW = Math.min(wishW, Math.max(idleW, integralW))
      if (works) power = Math.min(power, Math.max(idleW, integralW + scene.heat.gainWPerK * error))
    }
    powerW[i] = power
    temperatureC[i] = heatC
    thermal.forEach((stage, k) => {
      rises[k]! += (stage.rKPerW * power - rises[k]!) * (1 - Math.exp(-STEP_S / stage.tauS))
    })
  }
  return { powerW, temperatureC, dropsS: dropsS.sort((a, b) => a - b), runsS }
}

function startBudget(budget: { limitW: number; tauS: number; approachS: number }, idleW: number) {
  let averageW = idleW
  let held = false
  let seen = false
  let capW = Number.POSITIVE_INFINITY
  /** One step; true when the limit comes down for the first time. */
  const advance = (works: boolean, wishW: number, lastW: number): boolean => {
    averageW += (lastW - averageW) * (STEP_S / budget.tauS)
    if (averageW >= budget.limitW) held = true
    if (averageW < 0.985 * budget.limitW) held = false
    if (!works) {
      capW = Number.POSITIVE_INFINITY
      return false
    }
    const target = held ? budget.limitW : wishW
    const fromW = Math.min(capW, wishW)
    capW = fromW + (target - fromW) * (1 - Math.exp(-STEP_S / budget.approachS))
    const first = held && !seen
    if (held) seen = true
    return first
  }
  return { advance, capW: () => capW }
}

function isWorking(scene: Scene, sinceS: number): boolean {
  if (scene.runS === undefined) return true
  const cycleS = scene.runS + (scene.gapS ?? 0)
  return sinceS - Math.floor(sinceS / cycleS) * cycleS <= scene.runS
}

function noteRun(runs: { startS: number; endS: number }[], works: boolean, timeS: number): void {
  if (!works) return
  const last = runs.at(-1)
  if (last && timeS - last.endS < 1.5 * STEP_S) last.endS = timeS
  else runs.push({ startS: timeS - STEP_S, endS: timeS })
}

function logCourse(course: Course, logger: Logger, random: Random): { trace: Trace; firstS: number } {
  const times: number[] = []
  const power: number[] = []
  const temperature: number[] = []
  const lengthS = course.powerW.length * STEP_S
  const p = logger.autocorrelation
  let error = random.normal() * logger.noiseW
  let beforeS = 0
  for (let k = 1; k * logger.everyS < lengthS; k++) {
    const timeS = Math.min(
      lengthS,
      k * logger.everyS + logger.jitter * logger.everyS * (random.uniform() - 0.5),
    )
    const mean = logger.averaged ? meanBetween(course.powerW, beforeS, timeS) : at(course.powerW, timeS)
    error = p * error + Math.sqrt(1 - p * p) * random.normal() * logger.noiseW
    const spike = random.uniform() < logger.spikes
    const raw = spike ? mean * (random.uniform() < 0.5 ? 0.55 : 1.4) : mean + error
    beforeS = timeS
    if (random.uniform() < logger.lost) continue
    times.push(timeS)
    power.push(Math.max(0, Math.round(raw / logger.quantumW) * logger.quantumW))
    temperature.push(Math.round(at(course.temperatureC, timeS) + 0.3 * random.normal()))
  }
  const firstS = times[0]!
  const trace = {
    timesS: Float64Array.from(times, (timeS) => timeS - firstS),
    powerW: Float64Array.from(power),
    temperatureC: logger.temperature ? Float64Array.from(temperature) : null,
    clockHz: null,
    intervalS: logger.everyS,
    startEpochS: null,
    startOfDayS: null,
  }
  return { trace, firstS }
}

function at(values: Float64Array, timeS: number): number {
  return values[Math.min(values.length - 1, Math.max(0, Math.round(timeS / STEP_S) - 1))]!
}

/** Mean power between two times, steps counted by the part of them that is inside. */
function meanBetween(values: Float64Array, fromS: number, toS: number): number {
  let sum = 0
  const last = Math.min(values.length - 1, Math.ceil(toS / STEP_S) - 1)
  for (let i = Math.max(0, Math.floor(fromS / STEP_S)); i <= last; i++) {
    sum += values[i]! * Math.max(0, Math.min(toS, (i + 1) * STEP_S) - Math.max(fromS, i * STEP_S))
  }
  return sum / (toS - fromS)
}
