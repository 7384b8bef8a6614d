import { expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { restedState, riseOf } from '../../../src/physics/loop/loopState.js'
import type { LoopStep } from '../../../src/physics/loop/nextLoopStep.js'
import { takeLoopStep } from '../../../src/physics/loop/takeLoopStep.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const MACHINE: LoopMachine = {
  ...PLAIN_MACHINE,
  budgets: [{ limitW: 60, tauS: 30 }],
  heat: { stages: [{ rKPerW: 1, tauS: 50 }], ceilingRiseK: 40, control: { wPerK: 2, wPerKS: 0.3 } },
  responseS: 2,
}
const HELD: LoopStep = { powerW: 80, forS: 9, towardW: null, kind: 'held' }

test('a step moves time, averages, temperature and the controller on by as much of it as is taken', () => {
  const state = restedState(MACHINE)
  takeLoopStep(state, MACHINE, HELD, 40)
  expect([state.timeS, state.loadS, state.levelW]).toEqual([40, 40, 80])
  expect(state.averagesW[0]).toBeCloseTo(80 - 74 * Math.exp(-40 / 30), 10)
  const riseK = 80 - 74 * Math.exp(-40 / 50)
  expect(riseOf(state)).toBeCloseTo(riseK, 10)
  expect(state.integralW).toBeCloseTo(100 - 0.3 * (riseK - 40) * 40, 10)
})

test.each([0.3, 1])('a glide ends where its exponential is after %d s, whatever its mean', (forS) => {
  const state = restedState(MACHINE)
  // From 100 toward 60 W, time constant 2 s.
  const powerW = 60 + (40 * 2 * (1 - Math.exp(-forS / 2))) / forS
  takeLoopStep(state, MACHINE, { powerW, forS, towardW: 60, kind: 'glide' }, forS)
  expect(state.levelW).toBeCloseTo(60 + 40 * Math.exp(-forS / 2), 10)
})

test('how long heat has held is counted on in steps of heat, and anew after a step without', () => {
  const state = restedState(MACHINE)
  const after = (kind: LoopStep['kind'], forS: number) => {
    takeLoopStep(state, MACHINE, { ...HELD, kind, towardW: kind === 'glide' ? 60 : null }, forS)
    return state.pinnedS
  }
  expect([after('pinned', 2), after('controlled', 3), after('glide', 1)]).toEqual([2, 5, 5])
  expect([after('held', 7), after('controlled', 4)]).toEqual([0, 4])
})
