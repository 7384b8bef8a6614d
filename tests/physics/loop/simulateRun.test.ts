import { describe, expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { restedState, riseOf } from '../../../src/physics/loop/loopState.js'
import { type LoopSegment, pause, simulateRun } from '../../../src/physics/loop/simulateRun.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const PLAIN: LoopMachine = { ...PLAIN_MACHINE, budgets: [{ limitW: 60, tauS: 30 }] }
const HEATED: LoopMachine = {
  ...PLAIN,
  budgets: [],
  heat: { stages: [{ rKPerW: 1, tauS: 50 }], ceilingRiseK: 40, control: { wPerK: 2, wPerKS: 0.3 } },
}
const BURST_S = 30 * Math.log(94 / 40)

describe('a run', () => {
  test('goes on from where the one before it ended, and says its own time, energy and mean rate', () => {
    const state = restedState(PLAIN)
    const first = simulateRun(state, PLAIN, { work: null, durationS: 20 }, (w) => 2 * w)
    const second = simulateRun(state, PLAIN, { work: null, durationS: 40 }, (w) => 2 * w)
    expect(first).toEqual({ startS: 0, durationS: 20, energyJ: 2000, meanRate: 200, unfinished: false })
    const energyJ = 100 * (BURST_S - 20) + 60 * (60 - BURST_S)
    expect(second).toMatchObject({ startS: 20, durationS: 40, unfinished: false })
    expect(second.energyJ).toBeCloseTo(energyJ, 8)
    expect(second.meanRate).toBeCloseTo((2 * energyJ) / 40, 8)
  })

  test('of known work ends when it is done', () => {
    const run = simulateRun(restedState(PLAIN), PLAIN, { work: 3600, durationS: 1 }, (w) => w)
    expect(run.durationS).toBeCloseTo(BURST_S + (3600 - 100 * BURST_S) / 60, 9)
    expect(run.energyJ).toBeCloseTo(3600, 8)
  })

  test('that takes longer than four months is cut off, and said to be so where work was to be done', () => {
    const cut = (work: number | null, durationS: number) =>
      simulateRun(restedState(PLAIN), PLAIN, { work, durationS }, (w) => w)
    expect(cut(1e9, 1)).toMatchObject({ durationS: 1e7, unfinished: true })
    expect(cut(5.9e8, 1).unfinished).toBe(false)
    expect(cut(null, 2e7)).toMatchObject({ durationS: 1e7, unfinished: false })
  })

  test('that heat asks 40,000 steps of is cut off too', () => {
    const state = restedState(HEATED)
    const run = simulateRun(state, HEATED, { work: 1e9, durationS: 1 }, (w) => w)
    expect(run.unfinished).toBe(true)
    // Steps of ten seconds, but for those in which they grow.
    expect(run.durationS).toBeGreaterThan(3.9e5)
    expect(run.durationS).toBeLessThan(4.0001e5)
  })

  test('tells its stretches, which follow each other to its end', () => {
    const state = restedState(PLAIN)
    simulateRun(state, PLAIN, { work: null, durationS: 5 }, (w) => w)
    const told: LoopSegment[] = []
    simulateRun(
      state,
      PLAIN,
      { work: null, durationS: 55 },
      (w) => w,
      (segment) => told.push(segment),
    )
    expect(told.map(({ powerW }) => powerW)).toEqual([100, 60])
    expect(told[0]!.startS).toBe(5)
    expect(told[1]!.startS).toBeCloseTo(BURST_S, 9)
    expect(told[1]!.startS + told[1]!.forS).toBeCloseTo(60, 9)
  })
})

describe('a pause', () => {
  test('of no length is none', () => {
    const told: LoopSegment[] = []
    for (const gapS of [0, -3, Number.NaN]) {
      const state = restedState(PLAIN)
      state.levelW = 60
      pause(state, PLAIN, gapS, (segment) => told.push(segment))
      expect([state.timeS, state.levelW]).toEqual([0, 60])
    }
    expect(told).toEqual([])
  })

  test('is a stretch of idle power that lets averages fall', () => {
    const state = restedState(PLAIN)
    state.averagesW[0] = 60
    Object.assign(state, { timeS: 100, loadS: 100, levelW: 60, pinnedS: 9 })
    const told: LoopSegment[] = []
    pause(state, PLAIN, 12, (segment) => told.push(segment))
    expect(told).toEqual([{ startS: 100, forS: 12, powerW: 6 }])
    expect(state.averagesW[0]).toBeCloseTo(6 + 54 * Math.exp(-12 / 30), 10)
    expect(state).toMatchObject({ timeS: 112, loadS: 112, levelW: 6, pinnedS: 0 })
  })

  test('of half a minute starts the time at load anew, a shorter one does not', () => {
    const loadS = (gapS: number) => {
      const state = restedState(PLAIN)
      state.loadS = 100
      pause(state, PLAIN, gapS)
      return state.loadS
    }
    expect([29.9, 30, 31].map(loadS)).toEqual([129.9, 0, 0])
  })

  const integralAfter = (gapS: number, restsInPauses: boolean, integralW = 70) => {
    const control = { ...HEATED.heat!.control!, restsInPauses }
    const machine = { ...HEATED, heat: { ...HEATED.heat!, control } }
    const state = restedState(machine)
    state.integralW = integralW
    state.risesK[0] = 40
    pause(state, machine, gapS)
    expect(state.timeS).toBeCloseTo(gapS, 9)
    expect(riseOf(state)).toBeCloseTo(6 + 34 * Math.exp(-gapS / 50), 9)
    return state.integralW
  }

  test('lets a heat controller rise by the kelvin below its ceiling, second by second', () => {
    const below = (s: number) => 34 * (1 - Math.exp(-s / 50))
    expect(integralAfter(3.5, false)).toBeCloseTo(
      70 + 0.3 * (below(1) + below(2) + below(3) + 0.5 * below(3.5)),
      9,
    )
    expect(integralAfter(0.5, false)).toBeCloseTo(70 + 0.15 * below(0.5), 9)
    expect(integralAfter(300, false)).toBe(100)
  })

  test('puts a controller that rests in pauses back at once', () => {
    expect(integralAfter(0.5, true)).toBe(100)
  })
})
