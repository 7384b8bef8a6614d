import { describe, expect, test } from 'vitest'
import type { HeldLevels } from '../../../src/fit/chassis/findHeldLevels.js'
import { fitBudgets, startingBudgets } from '../../../src/fit/chassis/fitBudgets.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { PLAIN_MACHINE } from '../../physics/loop/plainMachine.js'
import { equalPasses, machineRecord } from './machineRecord.js'

/** Levels of a load of 100 W that falls to 60 W at some time, and no lower. */
const falling = (firstDropS: number | null): HeldLevels => ({
  burstW: 100,
  shortTermW: null,
  sustainedW: 60,
  firstDropS,
  secondDropS: null,
})
const WHOLE = equalPasses(1, 300, 0)
const LOOP = equalPasses(4, 120, 20)
const flat = (passes = WHOLE) => machineRecord({ ...PLAIN_MACHINE, idleW: 10 }, passes, 0)
const budgeted = (parts: Partial<LoopMachine>): LoopMachine => ({
  ...PLAIN_MACHINE,
  idleW: 10,
  responseS: 1,
  ...parts,
})

describe('budgets as levels and drops suggest them', () => {
  test('have the time constant of the first hold in closed form', () => {
    const [only, ...others] = startingBudgets(flat(), falling(20))
    expect(others).toEqual([])
    expect(only!.limitW).toBe(60)
    // From idle the average arrives at 60 W after tau ln((100 - 10) / (100 - 60)).
    expect(only!.tauS).toBeCloseTo(20 / Math.log(90 / 40), 6)
  })

  test('count a drop at the start as a third of a sample, and idle power as below the limit', () => {
    expect(startingBudgets(flat(), falling(0))[0]!.tauS).toBeCloseTo(0.3 / Math.log(90 / 40), 6)
    const warm = { ...flat(), idleW: 80 }
    expect(startingBudgets(warm, falling(20))[0]!.tauS).toBeCloseTo(20 / Math.log(46 / 40), 6)
  })

  test('are none without a drop', () => {
    expect(startingBudgets(flat(), falling(null))).toEqual([])
    expect(fitBudgets(flat(), falling(null))).toBeNull()
  })

  test('have the average of the measured power at the limit where the drop comes after a pause', () => {
    // 100 W for 120 s, 10 W for 20 s, 100 W until the drop at 170 s: each stretch an exponential.
    const [only] = startingBudgets(flat(LOOP), { ...falling(170), sustainedW: 70 })
    const left = (s: number) => Math.exp(-s / only!.tauS)
    const first = 100 - 90 * left(120)
    const paused = 10 + (first - 10) * left(20)
    expect(100 - (100 - paused) * left(30)).toBeCloseTo(70, 0)
  })

  test('have one more for a second drop, with the average of all power before it', () => {
    const levels = { burstW: 100, shortTermW: 80, sustainedW: 60, firstDropS: 20, secondDropS: 120 }
    const [first, second, ...others] = startingBudgets(flat(), levels)
    expect(others).toEqual([])
    expect(first).toEqual({ limitW: 80, tauS: expect.closeTo(20 / Math.log(90 / 20), 6) })
    expect(second!.limitW).toBe(60)
    expect(100 - 90 * Math.exp(-120 / second!.tauS)).toBeCloseTo(60, 0)
    expect(startingBudgets(flat(), { ...levels, secondDropS: null })).toHaveLength(1)
  })
})

describe('budgets that are fitted to a load', () => {
  const near = (fitted: readonly number[], true_: readonly number[], within: number) => {
    expect(fitted).toHaveLength(true_.length)
    for (const [i, value] of fitted.entries()) expect(Math.abs(value / true_[i]! - 1)).toBeLessThan(within)
  }

  test('are those of the machine, from levels that are off', () => {
    const machine = budgeted({
      budgets: [
        { limitW: 70, tauS: 9 },
        { limitW: 50, tauS: 60 },
      ],
    })
    const levels = { burstW: 99, shortTermW: 71, sustainedW: 50.5, firstDropS: 8, secondDropS: 40 }
    const fit = fitBudgets(machineRecord(machine, LOOP), levels)!
    expect(fit.kind).toBe('budgets')
    near(fit.parameters, [100, 1, 70, 9, 50, 60], 0.03)
    expect(fit.cost / fit.samples).toBeLessThan(1.15)
    expect(fit.machine.budgets.map(({ givesWay }) => givesWay)).toEqual(['headroom', 'headroom'])
    expect(fit.machine).toMatchObject({ idleW: 10, heat: null, timedSteps: [] })
  })

  test('latch where bursts after pauses say so', () => {
    const machine = budgeted({ givesWay: 'latch', budgets: [{ limitW: 60, tauS: 40 }] })
    const record = machineRecord(machine, equalPasses(5, 90, 4))
    const fit = fitBudgets(record, falling(30))!
    near(fit.parameters, [100, 1, 60, 40], 0.03)
    expect(fit.machine.budgets[0]!.givesWay).toBe('latch')
    expect(fit.cost / fit.samples).toBeLessThan(1.15)
    // Not tried where something else is expected, nor on fewer than three runs.
    expect(fitBudgets(record, falling(30), false)!.machine.budgets[0]!.givesWay).toBe('headroom')
    const two = fitBudgets(machineRecord(machine, equalPasses(2, 90, 4)), falling(30))!
    expect(two.machine.budgets[0]!.givesWay).toBe('headroom')
    expect(two.kind).toBe('budgets')
    const three = fitBudgets(machineRecord(machine, equalPasses(3, 90, 4)), falling(30))!
    expect(three.machine.budgets[0]!.givesWay).toBe('latch')
  })

  test('of which only the lower latches are told so', () => {
    const machine = budgeted({
      budgets: [
        { limitW: 75, tauS: 12, givesWay: 'headroom' },
        { limitW: 55, tauS: 50, givesWay: 'latch' },
      ],
    })
    const levels = { burstW: 100, shortTermW: 75, sustainedW: 55, firstDropS: 14, secondDropS: 40 }
    const fit = fitBudgets(machineRecord(machine, equalPasses(6, 90, 5)), levels)!
    expect(fit.machine.budgets.map(({ givesWay }) => givesWay)).toEqual(['headroom', 'latch'])
    near(fit.parameters, [100, 1, 75, 12, 55, 50], 0.05)
  })

  test('get no time constant for pauses where a drift is what one for both leaves over', () => {
    const record = machineRecord(budgeted({ budgets: [{ limitW: 60, tauS: 40 }] }), equalPasses(5, 90, 30))
    const drifting = { ...record, powerW: record.powerW.map((w, i) => w + (w > 30 ? 0.004 * i : 0)) }
    const fit = fitBudgets(drifting, falling(30))!
    expect(fit.cost / fit.samples).toBeGreaterThan(1.6)
    expect(fit.kind).toBe('budgets')
    expect(fit.parameters).toHaveLength(4)
    expect(fit.machine.budgets[0]!.recoveryS).toBeUndefined()
  })

  test('recover in pauses with a time constant of their own where one for both leaves more than noise', () => {
    const machine = budgeted({ budgets: [{ limitW: 60, tauS: 40, recoveryS: 160 }] })
    const fit = fitBudgets(machineRecord(machine, equalPasses(5, 90, 30)), falling(30))!
    near(fit.parameters, [100, 1, 60, 40, 4], 0.05)
    expect(fit.machine.budgets[0]!.recoveryS! / 160).toBeCloseTo(1, 1)
    expect(fit.logErrors).toHaveLength(5)
    expect(fit.logErrors![4]).toBeLessThan(0.2)
  })
})
