import { describe, expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { type LoopState, restedState } from '../../../src/physics/loop/loopState.js'
import { nextLoopStep } from '../../../src/physics/loop/nextLoopStep.js'
import { PLAIN_MACHINE } from './plainMachine.js'

/** The step of a machine that differs from the plain one, from a state that differs from rest. */
function stepOf(
  differs: Partial<LoopMachine>,
  now: Partial<Omit<LoopState, 'averagesW' | 'risesK' | 'latched'>> & {
    readonly averagesW?: readonly number[]
    readonly risesK?: readonly number[]
    readonly latched?: readonly number[]
  } = {},
) {
  const machine = { ...PLAIN_MACHINE, ...differs }
  const state = restedState(machine)
  const { averagesW, risesK, latched, ...rest } = now
  Object.assign(state, rest)
  if (averagesW) state.averagesW.set(averagesW)
  if (risesK) state.risesK.set(risesK)
  if (latched) state.latched.set(latched)
  return nextLoopStep(state, machine)
}

const held = (powerW: number, forS: number) => ({ powerW, forS, towardW: null, kind: 'held' })

describe('a load without heat', () => {
  test('draws its peak for as long as a run may last where nothing limits it', () => {
    expect(stepOf({})).toEqual(held(100, 1e7))
  })

  test('is held at its peak until the first of its averages is at its limit', () => {
    const slow = { limitW: 60, tauS: 30 }
    expect(stepOf({ budgets: [slow] }).forS).toBeCloseTo(30 * Math.log(94 / 40), 10)
    const both = stepOf({ budgets: [slow, { limitW: 80, tauS: 10 }] })
    expect(both.powerW).toBe(100)
    expect(both.forS).toBeCloseTo(10 * Math.log(94 / 20), 10)
    expect(stepOf({ budgets: [slow] }, { averagesW: [50] }).forS).toBeCloseTo(30 * Math.log(50 / 40), 10)
  })

  test('is held at the lowest limit whose average has arrived, until that of a lower one does', () => {
    const budgets = [
      { limitW: 80, tauS: 10 },
      { limitW: 60, tauS: 30 },
      { limitW: 90, tauS: 5 },
    ]
    const between = stepOf({ budgets }, { averagesW: [80, 40, 90] })
    expect(between.powerW).toBe(80)
    expect(between.forS).toBeCloseTo(30 * Math.log(40 / 20), 10)
    expect(stepOf({ budgets }, { averagesW: [80, 60, 90] })).toEqual(held(60, 1e7))
  })

  test('is never held by a limit above its peak', () => {
    expect(stepOf({ budgets: [{ limitW: 110, tauS: 10 }] }, { averagesW: [115] })).toEqual(held(100, 1e7))
    expect(stepOf({ timedSteps: [{ limitW: 110, afterS: 50 }] }, { loadS: 60 })).toEqual(held(100, 1e7))
  })

  test('comes down at a set time after its start', () => {
    const timedSteps = [
      { limitW: 70, afterS: 50 },
      { limitW: 55, afterS: 80 },
    ]
    expect(stepOf({ timedSteps }, { loadS: 20 })).toEqual(held(100, 30))
    expect(stepOf({ timedSteps }, { loadS: 50 })).toEqual(held(70, 30))
    expect(stepOf({ timedSteps }, { loadS: 90 })).toEqual(held(55, 1e7))
    expect(stepOf({ timedSteps: timedSteps.toReversed() }, { loadS: 90 })).toEqual(held(55, 1e7))
    // One that allows more than is drawn changes nothing.
    const budgets = [{ limitW: 54, tauS: 9 }]
    expect(stepOf({ budgets, timedSteps }, { averagesW: [54], loadS: 20 })).toEqual(held(54, 1e7))
  })

  test('moves on by a millionth of a second where an event is nearer than that', () => {
    const timedSteps = [{ limitW: 70, afterS: 50 }]
    expect(stepOf({ timedSteps }, { loadS: 50 - 2e-7 })).toEqual(held(100, 1e-6))
  })
})

describe('power that glides to a limit', () => {
  // Gain 20: power gives way from 60 - 40 / 20 = 58 W of average on.
  const machine = { budgets: [{ limitW: 60, tauS: 21 }], responseS: 1 }
  const meanOf = (fromW: number, towardW: number, forS: number) =>
    towardW + ((fromW - towardW) * (1 - Math.exp(-forS))) / forS

  test('begins when the headroom allows less than the peak', () => {
    expect(stepOf(machine).powerW).toBe(100)
    expect(stepOf(machine).forS).toBeCloseTo(21 * Math.log(94 / 42), 10)
    const first = stepOf(machine, { averagesW: [58], levelW: 100 })
    expect(first).toMatchObject({ kind: 'glide', towardW: 60, forS: 0.5 })
    expect(first.powerW).toBeCloseTo(meanOf(100, 60, 0.5), 10)
  })

  test('takes the longer the longer the response is', () => {
    // Gain 20 again.
    const step = stepOf(
      { budgets: [{ limitW: 60, tauS: 63 }], responseS: 3 },
      { averagesW: [59], levelW: 95 },
    )
    expect(step.forS).toBe(1.5)
    expect(step.powerW).toBeCloseTo(meanOf(80, 60, 0.5), 10)
  })

  test('is what the headroom allows: twenty watts above the limit for each watt of it', () => {
    const step = stepOf(machine, { averagesW: [59], levelW: 95 })
    expect(step.powerW).toBeCloseTo(meanOf(80, 60, 0.5), 10)
  })

  test('follows the budget that allows least', () => {
    const budgets = [
      { limitW: 60, tauS: 21 },
      { limitW: 50, tauS: 41 },
      { limitW: 70, tauS: 21 },
    ]
    // 80 W, 50 + 40 × 0.9 = 86 W and 70 + 20 × 1 = 90 W; the step ends where the second would allow less than its own mean.
    const step = stepOf({ budgets, responseS: 1 }, { averagesW: [59, 49.1, 69], levelW: 95 })
    expect(step).toMatchObject({ towardW: 60 })
    const halfStepW = meanOf(80, 60, 0.5)
    const gapW = halfStepW - 50
    expect(step.forS).toBeCloseTo(41 * Math.log((gapW + 0.9) / (gapW + gapW / 40)), 10)
    expect(step.powerW).toBeCloseTo(meanOf(80, 60, step.forS), 10)
    // 80 W, 50 + 40 × 0.6 = 74 W.
    const other = stepOf({ budgets, responseS: 1 }, { averagesW: [59, 49.4, 69], levelW: 95 })
    expect(other).toMatchObject({ towardW: 50 })
    expect(other.powerW).toBeCloseTo(meanOf(74, 50, 0.5), 10)
  })

  test('is over within half a per cent of its end, in allowed and in drawn power', () => {
    // 0.3 W of power allowed are 0.015 W of headroom.
    expect(stepOf(machine, { averagesW: [59.986], levelW: 60.29 })).toEqual(held(60, 1e7))
    expect(stepOf(machine, { averagesW: [59.984], levelW: 60.29 }).kind).toBe('glide')
    const late = stepOf(machine, { averagesW: [59.986], levelW: 60.31 })
    expect(late).toMatchObject({ kind: 'glide', towardW: 60, forS: 0.5 })
    expect(late.powerW).toBeCloseTo(meanOf(60.31, 60, 0.5), 10)
  })

  test('glides on through a limit that comes at a set time, and is cut where another begins', () => {
    const timedSteps = [
      { limitW: 70, afterS: 50 },
      { limitW: 40, afterS: 50.2 },
    ]
    const step = stepOf({ timedSteps, responseS: 1 }, { loadS: 50, levelW: 100 })
    expect(step).toMatchObject({ kind: 'glide', towardW: 70 })
    expect(step.forS).toBeCloseTo(0.2, 10)
    expect(step.powerW).toBeCloseTo(meanOf(100, 70, 0.2), 10)
  })

  test('is not cut by the budget that it is gliding to, nor by one that it has passed', () => {
    const passed = [...machine.budgets, { limitW: 80, tauS: 5 }]
    expect(stepOf({ ...machine, budgets: passed }, { averagesW: [60, 80], levelW: 95 })).toMatchObject({
      kind: 'glide',
      towardW: 60,
      forS: 0.5,
    })
    const step = stepOf(machine, { averagesW: [58.5], levelW: 90 })
    expect(step).toMatchObject({ kind: 'glide', forS: 0.5 })
  })

  test('waits for the limit itself where a budget latches, and glides from what was drawn', () => {
    const latches = { ...machine, givesWay: 'latch' as const }
    expect(stepOf(latches, { averagesW: [58], levelW: 100 }).forS).toBeCloseTo(21 * Math.log(42 / 40), 10)
    const step = stepOf(latches, { averagesW: [59], levelW: 100, latched: [1] })
    expect(step).toMatchObject({ kind: 'glide', towardW: 60, forS: 0.5 })
    expect(step.powerW).toBeCloseTo(meanOf(100, 60, 0.5), 10)
    expect(stepOf(latches, { averagesW: [59], levelW: 60, latched: [1] })).toEqual(held(60, 1e7))
  })

  test('gives way as the budget itself does, whatever the habit of the machine', () => {
    const own = (givesWay: 'latch' | 'headroom') => [{ limitW: 60, tauS: 21, givesWay }]
    const now = { averagesW: [59.99], levelW: 100 }
    expect(stepOf({ ...machine, budgets: own('latch') }, now)).toMatchObject({ powerW: 100, kind: 'held' })
    const headroom = stepOf({ ...machine, givesWay: 'latch', budgets: own('headroom') }, now)
    expect(headroom).toMatchObject({ kind: 'glide', towardW: 60 })
  })
})

describe('a load under its ceiling', () => {
  const one = { stages: [{ rKPerW: 1, tauS: 100 }], ceilingRiseK: 60 }

  test('is held at its peak until the temperature is at the ceiling', () => {
    const step = stepOf({ heat: one })
    expect(step.powerW).toBe(100)
    expect(step.forS).toBeCloseTo(100 * Math.log(94 / 40), 5)
    expect(stepOf({ heat: { ...one, ceilingRiseK: 101 } })).toEqual(held(100, 1e7))
  })

  test('is then held at what keeps it there, in steps that grow to ten seconds', () => {
    const steps = [0, 20, 500].map((pinnedS) => stepOf({ heat: one }, { risesK: [60], pinnedS }))
    for (const step of steps) {
      expect(step).toMatchObject({ kind: 'pinned', towardW: null })
      expect(step.powerW).toBeCloseTo(60, 8)
    }
    expect(steps.map(({ forS }) => forS)).toEqual([0.5, 2.5, 10])
  })

  test('is held by a limit that is lower than what heat allows', () => {
    const now = { risesK: [60], averagesW: [50] }
    expect(stepOf({ heat: one, budgets: [{ limitW: 50, tauS: 9 }] }, now)).toEqual(held(50, 1e7))
  })

  test('never draws less than when it is idle', () => {
    expect(stepOf({ heat: one }, { risesK: [160] })).toMatchObject({ powerW: 6, kind: 'pinned' })
  })

  test('glides down to what heat allows only from far above it', () => {
    const glides = { heat: one, responseS: 1 }
    expect(stepOf(glides, { risesK: [60], levelW: 61.1 })).toMatchObject({ kind: 'pinned' })
    const far = stepOf(glides, { risesK: [60], levelW: 100 })
    expect(far.kind).toBe('glide')
    expect(far.towardW).toBeCloseTo(60, 8)
    expect(stepOf(glides, { risesK: [60], levelW: 61.3 }).kind).toBe('glide')
  })
})

describe('a heat controller', () => {
  const stages = [
    { rKPerW: 0.4, tauS: 5 },
    { rKPerW: 0.7, tauS: 120 },
  ]
  const control = { wPerK: 2, wPerKS: 0.3 }
  const heat = { stages, ceilingRiseK: 66, control }

  test('is at rest below the ceiling, and what is held ends at the ceiling', () => {
    const step = stepOf({ heat })
    expect(step).toMatchObject({ powerW: 100, kind: 'held' })
    const riseK = stages.reduce((sum, { rKPerW, tauS }) => {
      return sum + rKPerW * (100 - 94 * Math.exp(-step.forS / tauS))
    }, 0)
    expect(riseK).toBeCloseTo(66, 4)
  })

  test.each([
    ['at the ceiling', { risesK: [30, 36], pinnedS: 0 }, 1],
    ['above it', { risesK: [40, 30], pinnedS: 35 }, 3.5],
    ['below it with something to make up for', { risesK: [20, 30], pinnedS: 400, integralW: 70 }, 10],
  ])('allows what its own law asks for at the end of the step: %s', (_, now, forS) => {
    const step = stepOf({ heat }, now)
    expect(step).toMatchObject({ kind: 'controlled', forS, towardW: null })
    const endK = stages.reduce((sum, { rKPerW, tauS }, i) => {
      return sum + rKPerW * step.powerW + (now.risesK[i]! - rKPerW * step.powerW) * Math.exp(-forS / tauS)
    }, 0)
    const integralW = ('integralW' in now ? now.integralW : 100) - control.wPerKS * (endK - 66) * forS
    expect(step.powerW).toBeCloseTo(integralW - control.wPerK * (endK - 66), 8)
  })

  test('stays between idle and what else is allowed', () => {
    expect(stepOf({ heat }, { risesK: [200, 200] }).powerW).toBe(6)
    expect(stepOf({ heat }, { risesK: [0, 0], integralW: 99 }).powerW).toBe(100)
    const budgets = [{ limitW: 50, tauS: 9 }]
    expect(stepOf({ heat, budgets }, { risesK: [30, 36], averagesW: [50] }).powerW).toBe(50)
  })

  test('is cut short by a limit that begins sooner', () => {
    const timedSteps = [{ limitW: 40, afterS: 50 }]
    const step = stepOf({ heat, timedSteps }, { risesK: [30, 36], loadS: 49.6 })
    expect(step.forS).toBeCloseTo(0.4, 10)
  })

  test('does not glide on top of its own course', () => {
    expect(stepOf({ heat, responseS: 1 }, { risesK: [40, 30], levelW: 100 }).kind).toBe('controlled')
  })

  test('leaves power to a budget that allows less', () => {
    const budgets = [{ limitW: 40, tauS: 21 }]
    const step = stepOf({ heat, budgets, responseS: 1 }, { risesK: [30, 36], averagesW: [39.5], levelW: 60 })
    expect(step).toMatchObject({ kind: 'glide', towardW: 40 })
  })
})
