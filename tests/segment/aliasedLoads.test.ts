import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { traceOf } from './makeSteps.js'

/** Work that comes and goes many times in a sample, between two idle stretches; and what a logger notes of it. */
interface World {
  readonly seed: number
  /** Work and wait together, s, and how much each may be longer or shorter, as a share. */
  readonly periodS: number
  readonly jitter: number
  readonly duty: number
  readonly everyS?: number
  readonly lengthS?: number
  readonly means?: boolean
}

const IDLE = { leadS: 30, powerW: 5 }
const BUSY_W = 60
/** Grid on which the true power is laid out, s. */
const STEP_S = 0.005

interface Logged {
  readonly trace: Trace
  /** True mean power between two moments of the log, W. */
  readonly meanBetween: (fromS: number, toS: number) => number
  readonly startS: number
  readonly endS: number
}

function makeWorld(world: World): Logged {
  const { seed, periodS, jitter, duty, everyS = 1, lengthS = 80, means = false } = world
  const random = seededRandom(seed)
  const count = Math.round((lengthS + 2 * IDLE.leadS) / STEP_S)
  const trueW = new Float64Array(count).fill(IDLE.powerW)
  const [first, last] = [IDLE.leadS, IDLE.leadS + lengthS].map((s) => Math.round(s / STEP_S))
  for (let at = first! * STEP_S; at < last! * STEP_S; ) {
    const longer = () => 1 + jitter * (2 * random.uniform() - 1)
    const [workS, waitS] = [periodS * duty * longer(), periodS * (1 - duty) * longer()]
    trueW.fill(BUSY_W, Math.round(at / STEP_S), Math.min(last!, Math.round((at + workS) / STEP_S)))
    at += workS + waitS
  }
  const offsetS = everyS * random.uniform()
  const samples = Math.floor((count * STEP_S - offsetS) / everyS)
  const timesS = Float64Array.from({ length: samples }, (_, i) => i * everyS)
  const meanOf = (from: number, to: number) => {
    let sum = 0
    for (let i = from; i < to; i++) sum += trueW[i]!
    return sum / (to - from)
  }
  const powerW = timesS.map((_, i) => {
    const at = Math.min(count - 1, Math.floor((offsetS + i * everyS) / STEP_S))
    const watts = means ? meanOf(Math.max(0, at - Math.round(everyS / STEP_S)), at + 1) : trueW[at]!
    return watts * (1 + 0.02 * random.normal()) + 0.05 * random.normal()
  })
  const meanBetween = (fromS: number, toS: number) =>
    meanOf(Math.round((fromS + offsetS) / STEP_S), Math.round((toS + offsetS) / STEP_S))
  const startS = IDLE.leadS - offsetS
  return { trace: traceOf(timesS, powerW), meanBetween, startS, endS: startS + lengthS }
}

/** Worlds whose work and waits are too short for the samples, by turns or at random. */
const worlds = Array.from({ length: 80 }, (_, seed): World => {
  const random = seededRandom(1000 + seed)
  return {
    seed,
    periodS: 0.07 + 0.5 * random.uniform(),
    jitter: 0.25 + 0.35 * random.uniform(),
    duty: 0.4 + 0.4 * random.uniform(),
    everyS: [1, 0.5, 0.7][seed % 3]!,
    lengthS: 60 + 60 * random.uniform(),
  }
}).filter(({ periodS, everyS }) => periodS < 0.6 * everyS!)

describe('work that comes and goes faster than instants follow', () => {
  const told = worlds.map((world) => {
    const truth = makeWorld(world)
    return { world, truth, loads: findLoads(truth.trace) }
  })

  it('is one load of one run and one stage, but where a lull of many samples parts it', () => {
    const whole = told.filter(({ world, truth, loads }) => {
      const [load] = loads
      const slackS = 6 * world.everyS!
      return (
        loads.length === 1 &&
        load!.unresolved === true &&
        load!.runs.length === 1 &&
        load!.stages.length === 1 &&
        Math.abs(load!.startS - truth.startS) < slackS &&
        Math.abs(load!.endS - truth.endS) < slackS
      )
    })
    expect(whole.length).toBeGreaterThanOrEqual(0.78 * told.length)
  })

  it('is told by a mean whose 90 % interval holds the true one of that time', () => {
    const each = told.flatMap(({ truth, loads }) => loads.map((load) => ({ truth, load })))
    const held = each.filter(({ truth, load }) => {
      const meanW = truth.meanBetween(load.startS, load.endS)
      return load.stages.some(({ levelW }) => levelW.low <= meanW && meanW <= levelW.high)
    })
    expect(held.length).toBeGreaterThanOrEqual(0.82 * each.length)
  })

  it('is never said to sustain more than its samples show, nor less', () => {
    for (const { levelW, bounds } of told.flatMap(({ loads }) => loads.map(({ sustained }) => sustained))) {
      expect(levelW.high).toBeLessThan(1.1 * BUSY_W)
      expect(levelW.low).toBeGreaterThan(0.9 * IDLE.powerW)
      expect(bounds?.ceilingW ?? 0).toBeLessThan(1.1 * BUSY_W)
    }
  })

  it('is a plain load at its mean in a log of means', () => {
    for (const world of worlds) {
      const { trace, meanBetween, startS, endS } = makeWorld({ ...world, means: true })
      const loads = findLoads(trace)
      expect(loads).toHaveLength(1)
      expect(loads[0]!.unresolved).toBeUndefined()
      const { value } = loads[0]!.stages.at(-1)!.levelW
      expect(Math.abs(value / meanBetween(startS, endS) - 1)).toBeLessThan(0.05)
    }
  })
})

describe('work that instants follow', () => {
  it('is not said to be unresolved: one task, and a loop of ten samples a round', () => {
    for (let seed = 0; seed < 20; seed++) {
      const steady = makeWorld({ seed, periodS: 200, jitter: 0, duty: 1 })
      expect(findLoads(steady.trace).map(({ unresolved }) => unresolved)).toEqual([undefined])
      const loop = makeWorld({ seed, periodS: 10.4, jitter: 0.02, duty: 0.75, lengthS: 103 })
      const loads = findLoads(loop.trace)
      expect(loads.map(({ unresolved, runs }) => [unresolved, runs.length])).toEqual([[undefined, 10]])
    }
  })
})

describe('a log of instants', () => {
  /** Instants a second apart, 5 W before and after. */
  const loadsOf = (powers: readonly number[]) => {
    const idle = Array.from({ length: 40 }, (_, i) => 5 + 0.05 * (i % 3))
    // A steady load whose edges show that samples are instants.
    const steady = [...idle, ...Array.from({ length: 40 }, (_, i) => 60 + 0.6 * (i % 3)), ...idle]
    const all = [...steady, ...powers, ...idle]
    const timesS = Float64Array.from(all, (_, i) => i)
    return findLoads(traceOf(timesS, Float64Array.from(all))).slice(1)
  }
  const many = (count: number, powerOf: (i: number) => number) =>
    Array.from({ length: count }, (_, i) => powerOf(i))

  it('has one load where what lies between two stretches of work is neither idle nor a level', () => {
    const restless = many(12, (i) => [14, 22, 11, 27, 18, 12][i % 6]!)
    const work = many(15, (i) => 55 + 5 * ((i * 3) % 4))
    expect(loadsOf([...work, ...restless, ...work]).map(({ runs }) => runs.length)).toEqual([1])
    // At one level it is an idle that shifted, or a pause in which the machine stays busy.
    const level = many(12, (i) => 14 + 0.3 * (i % 2))
    expect(loadsOf([...work, ...level, ...work]).flatMap(({ runs }) => runs)).toHaveLength(2)
  })

  it('tells a steady load and the weaker flicker that follows it apart', () => {
    const flicker = many(40, (i) => [5, 14, 5, 5, 14, 14, 5, 14, 5, 14, 14][i % 11]!)
    const loads = loadsOf([...many(25, (i) => 45 + 0.6 * (i % 3)), ...flicker])
    expect(loads[0]!.unresolved).toBeUndefined()
    expect(Math.abs(loads[0]!.stages[0]!.levelW.value - 45)).toBeLessThan(2)
  })
})
