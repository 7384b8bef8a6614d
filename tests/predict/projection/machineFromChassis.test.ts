import { describe, expect, test } from 'vitest'
import { machineFromChassis, scoresNeeded } from '../../../src/predict/projection/machineFromChassis.js'
import { settledPower } from '../../../src/predict/projection/withSustained.js'
import { about, oneBudget } from '../fixtures.js'

const FREE = { demandW: null }
const hot = oneBudget({
  budgets: [],
  sustainedW: about(60, 1),
  thermal: {
    resistanceKPerW: about(1.2, 5),
    stages: [
      { rKPerW: 0.5, tauS: 5 },
      { rKPerW: 0.7, tauS: 150 },
    ],
    ceilingC: 95,
    ambientC: 23,
    zeroPowerC: 23,
  },
})

describe('one machine of those that a chassis leaves possible', () => {
  test('is the central one with all scores 0', () => {
    const machine = machineFromChassis(oneBudget(), FREE, [])
    expect(machine).toMatchObject({ idleW: 5, peakW: 100, budgets: [{ limitW: 60, tauS: 25 }], responseS: 1 })
  })

  test('has its limit at the edge of the interval with a score of 1.645', () => {
    const scores = new Array<number>(scoresNeeded(oneBudget())).fill(0)
    scores[3] = 1.6448536
    expect(machineFromChassis(oneBudget(), FREE, scores).budgets[0]!.limitW).toBeCloseTo(60.3, 6)
  })

  test('asks for no more than the workload does', () => {
    expect(machineFromChassis(oneBudget(), { demandW: 80 }, []).peakW).toBe(80)
  })
})

describe('a machine that heat holds', () => {
  test('holds (ceiling - ambient) / resistance in any room', () => {
    expect(settledPower(machineFromChassis(hot, FREE, []))).toBeCloseTo(60, 9)
    expect(settledPower(machineFromChassis(hot, FREE, [], 35))).toBeCloseTo((95 - 35) / 1.2, 9)
    expect(settledPower(machineFromChassis(hot, FREE, [], 11))).toBeCloseTo((95 - 11) / 1.2, 9)
  })

  test('is as sure of its own room’s watts as the test was, and less sure of another’s', () => {
    const withResistance = (score: number, ambientC: number) =>
      settledPower(machineFromChassis(hot, FREE, [0, score, 0], ambientC))
    expect(withResistance(1.645, 23)).toBeCloseTo(60, 9)
    expect(Math.abs(withResistance(1.645, 35) - withResistance(0, 35))).toBeGreaterThan(0.3)
    expect(settledPower(machineFromChassis(hot, FREE, [0, 0, 1.6448536]))).toBeCloseTo(60.6, 6)
  })

  test('without a thermometer is held by a weighted sum of running averages', () => {
    const heatBudget = {
      limitW: about(58, 1),
      terms: [
        { share: 0.4, tauS: 10 },
        { share: 0.6, tauS: 200 },
      ],
    }
    const machine = machineFromChassis(oneBudget({ budgets: [], heatBudget }), FREE, [])
    expect(settledPower(machine)).toBeCloseTo(58, 9)
  })
})
