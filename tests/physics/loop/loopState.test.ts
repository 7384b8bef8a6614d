import { describe, expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import {
  advance,
  decaysOver,
  integrate,
  isAt,
  isSameState,
  recallState,
  rememberedState,
  restedState,
  riseOf,
} from '../../../src/physics/loop/loopState.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const stages = [
  { rKPerW: 0.4, tauS: 5 },
  { rKPerW: 0.7, tauS: 120 },
]
const MACHINE: LoopMachine = {
  ...PLAIN_MACHINE,
  budgets: [
    { limitW: 80, tauS: 10 },
    { limitW: 60, tauS: 30 },
  ],
  heat: { stages, ceilingRiseK: 66, control: { wPerK: 2, wPerKS: 0.3 } },
}
const LATCHES: LoopMachine = { ...MACHINE, givesWay: 'latch' }

describe('a machine that has been idle for long', () => {
  test('remembers its idle power alone', () => {
    const state = restedState(MACHINE)
    expect(state).toMatchObject({ timeS: 0, loadS: 0, levelW: 6, pinnedS: 0, integralW: 100 })
    expect([...state.averagesW]).toEqual([6, 6])
    expect([...state.risesK].map((riseK) => riseK.toFixed(6))).toEqual(['2.400000', '4.200000'])
    expect([...state.latched]).toEqual([0, 0])
    expect(riseOf(state)).toBeCloseTo(6.6, 12)
  })

  test('stays so while it is idle', () => {
    const state = restedState(MACHINE)
    advance(state, MACHINE, 6, 1000)
    integrate(state, MACHINE, 1000)
    expect(state.integralW).toBe(100)
    expect(isSameState(rememberedState(state, MACHINE), rememberedState(restedState(MACHINE), MACHINE))).toBe(
      true,
    )
  })
})

describe('a stretch of constant power', () => {
  test('moves averages and rises along their exponentials, and both clocks on', () => {
    const state = restedState(MACHINE)
    advance(state, MACHINE, 100, 20)
    advance(state, MACHINE, 50, 20)
    advance(state, MACHINE, 50, 5)
    const decayed = (startW: number, tauS: number) => {
      const first = 100 + (startW - 100) * Math.exp(-20 / tauS)
      return 50 + (first - 50) * Math.exp(-25 / tauS)
    }
    expect(state.averagesW[0]).toBeCloseTo(decayed(6, 10), 10)
    expect(state.averagesW[1]).toBeCloseTo(decayed(6, 30), 10)
    expect(state.risesK[0]).toBeCloseTo(0.4 * decayed(6, 5), 10)
    expect(state.risesK[1]).toBeCloseTo(0.7 * decayed(6, 120), 10)
    expect(riseOf(state)).toBeCloseTo(0.4 * decayed(6, 5) + 0.7 * decayed(6, 120), 10)
    expect([state.timeS, state.loadS]).toEqual([45, 45])
  })

  test('falls with a time constant of its own where a budget has one, and rises with the other', () => {
    const recovering = { ...MACHINE, budgets: [{ limitW: 80, tauS: 10, recoveryS: 40 }] }
    const state = restedState(recovering)
    advance(state, recovering, 90, 20)
    const risen = 90 - 84 * Math.exp(-2)
    expect(state.averagesW[0]).toBeCloseTo(risen, 10)
    advance(state, recovering, 6, 20)
    expect(state.averagesW[0]).toBeCloseTo(6 + (risen - 6) * Math.exp(-0.5), 10)
    advance(state, recovering, 90, 20)
    expect(state.averagesW[0]).toBeCloseTo(90 - (84 - (risen - 6) * Math.exp(-0.5)) * Math.exp(-2), 10)
  })

  test('leaves of each rise what its decay says', () => {
    const state = restedState(MACHINE)
    for (const forS of [3, 3, 7]) {
      const decays = [...decaysOver(state, MACHINE, forS)]
      expect(decays[0]).toBeCloseTo(Math.exp(-forS / 5), 12)
      expect(decays[1]).toBeCloseTo(Math.exp(-forS / 120), 12)
    }
  })

  test('latches a budget whose average comes to its limit, until it has fallen by three per cent', () => {
    const state = restedState(LATCHES)
    const at = (averageW: number) => {
      state.averagesW[0] = averageW
      // Too short to move the average.
      advance(state, LATCHES, averageW, 1e-3)
      return state.latched[0]
    }
    expect([79.9, 80, 79, 77.7, 77.5, 79.9].map(at)).toEqual([0, 1, 1, 1, 0, 0])
    expect(state.latched[1]).toBe(0)
  })

  test('latches nothing that gives way with its headroom, and what latches by itself', () => {
    const state = restedState(MACHINE)
    advance(state, MACHINE, 90, 1e4)
    expect([...state.latched]).toEqual([0, 0])
    const one = {
      ...MACHINE,
      budgets: [MACHINE.budgets[0]!, { limitW: 60, tauS: 30, givesWay: 'latch' as const }],
    }
    const other = restedState(one)
    advance(other, one, 90, 1e4)
    expect([...other.latched]).toEqual([0, 1])
  })
})

describe('the integral of a heat controller', () => {
  const moved = (riseK: number, integralW: number, forS: number) => {
    const state = restedState(MACHINE)
    state.risesK.set([riseK, 0])
    state.integralW = integralW
    integrate(state, MACHINE, forS)
    return state.integralW
  }

  test('falls by 0.3 W a second for each kelvin above the ceiling, and rises as fast below it', () => {
    expect(moved(70, 80, 5)).toBeCloseTo(80 - 0.3 * 4 * 5, 10)
    expect(moved(60, 80, 5)).toBeCloseTo(80 + 0.3 * 6 * 5, 10)
    expect(moved(70, 100, 5)).toBeCloseTo(94, 10)
  })

  test('stays between idle power and peak', () => {
    expect(moved(60, 99, 5)).toBe(100)
    expect(moved(90, 8, 5)).toBe(6)
    expect(moved(60, 100, 5)).toBe(100)
  })

  test('is not there without a controller', () => {
    for (const heat of [null, { stages, ceilingRiseK: 66 }]) {
      const machine = { ...MACHINE, heat }
      const state = restedState(machine)
      if (heat) state.risesK.set([90, 0])
      integrate(state, machine, 5)
      expect(state.integralW).toBe(100)
    }
  })
})

describe('what a run hands on to the next', () => {
  test('is told and brought back, but for what has latched', () => {
    const state = restedState(LATCHES)
    advance(state, LATCHES, 90, 40)
    state.integralW = 71
    state.levelW = 63
    const values = rememberedState(state, LATCHES)
    expect(values).toHaveLength(3 + 2 * 2 + 2)
    const other = restedState(LATCHES)
    recallState(other, values)
    expect([other.integralW, other.levelW]).toEqual([71, 63])
    expect([...other.averagesW]).toEqual([...state.averagesW])
    expect([...other.risesK]).toEqual([...state.risesK])
    expect([...state.latched]).toEqual([1, 1])
    expect([...other.latched]).toEqual([0, 0])
    expect(isSameState(values, rememberedState(other, LATCHES))).toBe(false)
  })

  test('counts the time at load only while a timed step is yet to come', () => {
    const machine = {
      ...MACHINE,
      timedSteps: [
        { limitW: 70, afterS: 10 },
        { limitW: 60, afterS: 50 },
      ],
    }
    const timeTold = (loadS: number) => {
      const state = restedState(machine)
      state.loadS = loadS
      return rememberedState(state, machine)[2]
    }
    expect([5, 20, 50, 60].map(timeTold)).toEqual([5, 20, 0, 0])
    expect(rememberedState(restedState(MACHINE), MACHINE)[2]).toBe(0)
  })

  test('is the same within a ten-millionth of each value', () => {
    expect(isSameState([100, 0, -40], [100.000009, 0, -40.0000039])).toBe(true)
    expect(isSameState([100, 0, -40], [100.00002, 0, -40])).toBe(false)
    expect(isSameState([100, 0, -40], [100, 0, -40.00001])).toBe(false)
    expect(isSameState([100, 0], [100, 1e-9])).toBe(false)
    expect(isSameState([Number.NaN], [Number.NaN])).toBe(false)
  })
})

test('a value has come to its limit a billionth below it, as rounding leaves it', () => {
  expect([60, 60.1, 60 - 3e-8, 60 - 1e-7].map((value) => isAt(value, 60))).toEqual([true, true, true, false])
})
