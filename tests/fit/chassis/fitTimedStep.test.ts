import { describe, expect, test } from 'vitest'
import type { HeldLevels } from '../../../src/fit/chassis/findHeldLevels.js'
import { fitTimedStep } from '../../../src/fit/chassis/fitTimedStep.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { PLAIN_MACHINE } from '../../physics/loop/plainMachine.js'
import { machineRecord } from './machineRecord.js'

const stepping = (afterS: number, parts: Partial<LoopMachine> = {}): LoopMachine => ({
  ...PLAIN_MACHINE,
  peakW: 80,
  responseS: 1,
  timedSteps: [{ limitW: 50, afterS }],
  ...parts,
})
const LEVELS: HeldLevels = { burstW: 79, shortTermW: null, sustainedW: 51, firstDropS: 58, secondDropS: null }
const WHOLE = [{ startS: 0, endS: 200 }]
const WITH_PAUSE = [
  { startS: 0, endS: 40 },
  { startS: 61, endS: 140 },
]

describe('a step down after a set time', () => {
  test('is found with its levels and its time, from where the levels suggest it', () => {
    const fit = fitTimedStep(machineRecord(stepping(50), WHOLE), LEVELS)!
    expect(fit.kind).toBe('timed')
    const [burstW, responseS, limitW, afterS, ...rest] = fit.parameters
    expect(rest).toEqual([])
    expect(burstW! / 80).toBeCloseTo(1, 2)
    expect(limitW! / 50).toBeCloseTo(1, 2)
    expect(Math.abs(afterS! - 50)).toBeLessThan(0.3)
    expect(Math.abs(responseS! - 1)).toBeLessThan(0.3)
    expect(fit.cost / fit.samples).toBeLessThan(1.3)
    expect(fit.logErrors).toHaveLength(4)
    expect(fit.machine).toMatchObject({ budgets: [], heat: null, timedSteps: [{ limitW, afterS }] })
    expect(fit.machineFor([9, 2, 5, 33]).timedSteps).toEqual([{ limitW: 5, afterS: 33 }])
  })

  test('comes after a budget where there is a drop before it', () => {
    const machine = stepping(120, { peakW: 100, budgets: [{ limitW: 70, tauS: 30 }] })
    const levels = { burstW: 99, shortTermW: 71, sustainedW: 51, firstDropS: 30, secondDropS: 110 }
    const fit = fitTimedStep(machineRecord(machine, WHOLE), levels)!
    const [burstW, , limitW, afterS, budgetW, tauS] = fit.parameters
    expect(fit.parameters).toHaveLength(6)
    for (const [fitted, true_] of [
      [burstW!, 100],
      [limitW!, 50],
      [budgetW!, 70],
    ] as const)
      expect(Math.abs(fitted / true_ - 1)).toBeLessThan(0.005)
    expect(Math.abs(afterS! - 120)).toBeLessThan(0.3)
    expect(Math.abs(tauS! / 30 - 1)).toBeLessThan(0.03)
    expect(fit.machine.budgets).toEqual([{ limitW: budgetW, tauS }])
  })

  test('is none without a drop after the start', () => {
    const record = machineRecord(stepping(50), WHOLE)
    expect(fitTimedStep(record, { ...LEVELS, firstDropS: null })).toBeNull()
    expect(fitTimedStep(record, { ...LEVELS, firstDropS: 0 })).toBeNull()
  })

  test('that fell into a pause is told at its middle, with the error of a rectangle', () => {
    for (const [afterS, firstDropS] of [
      [40.5, 40.5],
      [42, 50],
      [50, 50],
      [60.5, 60.5],
    ] as const) {
      const fit = fitTimedStep(machineRecord(stepping(afterS), WITH_PAUSE), { ...LEVELS, firstDropS })!
      expect(fit.kind).toBe('timed')
      expect(fit.parameters).toHaveLength(4)
      expect(fit.parameters[3]).toBe(50.5)
      expect(fit.logErrors![3]).toBeCloseTo(21 / Math.sqrt(12) / 50.5, 9)
      expect(Math.abs(fit.parameters[0]! / 80 - 1)).toBeLessThan(0.005)
      expect(Math.abs(fit.parameters[2]! / 50 - 1)).toBeLessThan(0.005)
      expect(fit.machine.timedSteps[0]!.afterS).toBe(50.5)
      expect(fit.machineFor(fit.parameters)).toEqual(fit.machine)
    }
  })

  test('that fell into a pause leaves the response to what another drop shows of it', () => {
    const machine = stepping(110, { peakW: 100, budgets: [{ limitW: 70, tauS: 30 }] })
    const passes = [
      { startS: 0, endS: 100 },
      { startS: 121, endS: 220 },
    ]
    const levels = { burstW: 99, shortTermW: 71, sustainedW: 51, firstDropS: 30, secondDropS: 112 }
    const { parameters, logErrors } = fitTimedStep(machineRecord(machine, passes), levels)!
    expect(parameters[3]).toBe(110.5)
    expect(logErrors![3]).toBeCloseTo(21 / Math.sqrt(12) / 110.5, 9)
    expect(Math.abs(parameters[1]! - 1)).toBeLessThan(0.3)
    expect(logErrors![1]).toBeLessThan(0.3)
    expect(Math.abs(parameters[5]! / 30 - 1)).toBeLessThan(0.03)
  })

  test('within a pass is told where it is, before a pause or after it', () => {
    for (const afterS of [30, 75]) {
      const fit = fitTimedStep(machineRecord(stepping(afterS), WITH_PAUSE), {
        ...LEVELS,
        firstDropS: afterS + 3,
      })!
      expect(Math.abs(fit.parameters[3]! - afterS)).toBeLessThan(0.3)
    }
  })
})
