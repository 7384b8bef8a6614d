import { describe, expect, it } from 'vitest'
import type { Chassis } from '../../../src/physics/loop/chassis.js'
import { runTemperature } from '../../../src/predict/projection/runTemperature.js'

const exactly = (value: number) => ({ value, low: value, high: value, level: 0.9 })

const chassis: Chassis = {
  name: 'Heron slim',
  idleW: 6,
  burstW: exactly(90),
  burstHoldS: null,
  shortTermW: null,
  shortTermHoldS: null,
  sustainedW: exactly(60),
  budgets: [],
  timedSteps: [],
  thermal: {
    resistanceKPerW: exactly(1),
    stages: [
      { rKPerW: 0.4, tauS: 10 },
      { rKPerW: 0.6, tauS: 200 },
    ],
    ceilingC: 95,
    ambientC: 22,
  },
}

const settled = { meanW: 60, durationS: 60, first: false, settledW: 60, gapS: 0, idleW: 6 }

describe('runTemperature', () => {
  it('is ambient plus resistance times power in a settled run', () => {
    expect(runTemperature(settled, chassis, 0)).toBeCloseTo(22 + 60, 10)
    expect(runTemperature(settled, chassis, 0, 30)).toBeCloseTo(30 + 60, 10)
  })

  it('counts the pauses of a loop', () => {
    expect(runTemperature({ ...settled, gapS: 60 }, chassis, 0)).toBeCloseTo(22 + 33, 10)
  })

  it('averages the step response over a first run', () => {
    const share = (tauS: number) => 1 - (tauS / 60) * (1 - Math.exp(-60 / tauS))
    const riseK = 90 * (0.4 * share(10) + 0.6 * share(200))
    const first = { ...settled, meanW: 90, first: true }
    expect(runTemperature(first, chassis, 0)).toBeCloseTo(22 + riseK, 10)
  })

  it('stops at the ceiling', () => {
    expect(runTemperature({ ...settled, meanW: 120 }, chassis, 0)).toBe(95)
  })

  it('spreads where nothing is known, around a cooler first run', () => {
    const usual = runTemperature(settled, null, 0)
    expect(runTemperature(settled, null, 1)).toBeGreaterThan(usual + 5)
    expect(runTemperature(settled, null, -1)).toBeLessThan(usual - 5)
    expect(runTemperature({ ...settled, first: true }, null, 0)).toBeLessThan(usual - 10)
    expect(runTemperature(settled, null, 9)).toBeLessThanOrEqual(98)
  })

  it('is near the ceiling where heat holds a machine whose temperature is not known', () => {
    const heatBudget = { limitW: exactly(60), terms: [{ share: 1, tauS: 100 }] }
    const held = { ...chassis, thermal: null, heatBudget }
    expect([-1, 0, 1, 2].map((score) => runTemperature(settled, held, score))).toEqual([89, 93, 97, 98])
  })

  it('begins at that of a room and rises with power, where nothing is known', () => {
    const first = (durationS: number, meanW = 60) =>
      runTemperature({ ...settled, first: true, durationS, meanW }, null, -3)
    const settledC = runTemperature(settled, null, -3)
    expect(first(0.1)).toBeGreaterThan(23)
    expect(first(0.1)).toBeLessThan(24)
    expect(first(1e6)).toBeCloseTo(settledC, 1)
    expect((first(60, 90) - 23) / (first(60) - 23)).toBeCloseTo(1.5, 9)
  })
})
