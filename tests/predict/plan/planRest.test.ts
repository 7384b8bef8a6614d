import { describe, expect, test } from 'vitest'
import { planRest } from '../../../src/predict/plan/planRest.js'
import { about, oneBudget } from '../fixtures.js'

const budget = (tauS: number, percent = 5) => ({ limitW: about(60), tauS: about(tauS, percent) })

describe('rest before the next test', () => {
  test('waits for the slowest of several budgets, in whatever order they stand', () => {
    for (const budgets of [
      [budget(25), budget(300)],
      [budget(300), budget(25)],
    ]) {
      const { restS, reason } = planRest(oneBudget({ budgets }))
      expect(restS.value).toBeCloseTo(300 * Math.log(50), 9)
      expect(reason).toEqual({ code: 'rest', by: 'budget', slowestS: 300 })
    }
  })

  test('waits for the slower of the two time constants with which an average rises and falls', () => {
    const recovering = (recoveryS: number) => ({ ...budget(300), recoveryS: about(recoveryS) })
    expect(planRest(oneBudget({ budgets: [recovering(400)] })).reason).toMatchObject({ slowestS: 400 })
    expect(planRest(oneBudget({ budgets: [recovering(5)] })).restS.value).toBeCloseTo(300 * Math.log(50), 9)
  })

  test('is known as well as the time constant is, and no better than to 2 %', () => {
    const { restS: loose } = planRest(oneBudget({ budgets: [budget(300, 10)] }))
    expect(loose.high / loose.value).toBeCloseTo(Math.exp(0.1), 9)
    expect(loose.value / loose.low).toBeCloseTo(Math.exp(0.1), 9)
    const { restS: tight } = planRest(oneBudget({ budgets: [budget(300, 0.5)] }))
    expect(tight.high / tight.value).toBeCloseTo(Math.exp(0.02), 9)
  })

  test('waits for what a heat budget told of the heat sink, where no temperature was logged', () => {
    const terms = [
      { share: 0.3, tauS: 10 },
      { share: 0.7, tauS: 400 },
    ]
    const { restS, reason } = planRest(oneBudget({ heatBudget: { limitW: about(60), terms } }))
    expect(reason).toEqual({ code: 'rest', by: 'heat', slowestS: 400 })
    expect(0.7 * Math.exp(-restS.value / 400)).toBeCloseTo(0.02, 6)
  })

  test('waits until 2 % of the whole rise is left in a fitted network, whatever its resistance', () => {
    const stages = [
      { rKPerW: 0.4, tauS: 20 },
      { rKPerW: 0.7, tauS: 350 },
    ]
    const thermal = { resistanceKPerW: about(1.1), stages, ceilingC: null, ambientC: 22 }
    const { restS, reason } = planRest(oneBudget({ thermal }))
    expect(reason).toEqual({ code: 'rest', by: 'heat', slowestS: 350 })
    expect((0.7 * Math.exp(-restS.value / 350)) / 1.1).toBeCloseTo(0.02, 6)
    expect(restS.high / restS.value).toBeCloseTo(Math.exp(0.15), 9)
  })

  test('supposes a usual heat sink where the thermal model has no stages', () => {
    const thermal = { resistanceKPerW: about(1), stages: [], ceilingC: null, ambientC: 22 }
    expect(planRest(oneBudget({ thermal }))).toEqual(planRest(oneBudget({ thermal: null })))
    expect(planRest(oneBudget({ thermal })).reason).toEqual({ code: 'rest-supposed', slowestS: 200 })
  })
})
