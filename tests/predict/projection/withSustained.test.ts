import { describe, expect, it } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { settledPower, withSustained } from '../../../src/predict/projection/withSustained.js'

function machine(parts: Partial<LoopMachine> = {}): LoopMachine {
  const [idleW, peakW, responseS] = [5, 100, 1]
  return { idleW, peakW, budgets: [], givesWay: 'headroom', heat: null, timedSteps: [], responseS, ...parts }
}

/** Holds 60 W: 48 K over 0.8 K/W. */
const heat = {
  stages: [
    { rKPerW: 0.3, tauS: 5 },
    { rKPerW: 0.5, tauS: 100 },
  ],
  ceilingRiseK: 48,
}
const budgets = [
  { limitW: 80, tauS: 10 },
  { limitW: 60, tauS: 30 },
]

describe('power that a machine holds without end', () => {
  it('is the least of its limits', () => {
    expect(settledPower(machine())).toBe(100)
    expect(settledPower(machine({ budgets }))).toBe(60)
    expect(settledPower(machine({ heat }))).toBeCloseTo(60, 12)
    expect(settledPower(machine({ budgets, timedSteps: [{ limitW: 55, afterS: 90 }] }))).toBe(55)
    expect(settledPower(machine({ peakW: 40, budgets, heat }))).toBe(40)
  })
})

describe('a machine with another sustained power', () => {
  it('has the limit that holds it there, and the others as they were', () => {
    const moved = withSustained(machine({ budgets, timedSteps: [{ limitW: 70, afterS: 90 }] }), 50)
    expect(moved).toEqual(
      machine({
        budgets: [
          { limitW: 80, tauS: 10 },
          { limitW: 50, tauS: 30 },
        ],
        timedSteps: [{ limitW: 70, afterS: 90 }],
      }),
    )
  })

  it('is without the limits that the new level overtakes', () => {
    const moved = withSustained(machine({ budgets, timedSteps: [{ limitW: 70, afterS: 90 }] }), 75)
    expect(moved.budgets.map(({ limitW }) => limitW)).toEqual([80, 75])
    expect(moved.timedSteps).toEqual([])
    expect(withSustained(machine({ budgets }), 80).budgets.map(({ limitW }) => limitW)).toEqual([80])
    expect(settledPower(moved)).toBe(75)
  })

  it('has a peak no lower than that', () => {
    expect(withSustained(machine({ budgets }), 130).peakW).toBe(130)
    expect(withSustained(machine({ budgets }), 90).peakW).toBe(100)
    expect(withSustained(machine({ peakW: 60 }), 45).peakW).toBe(45)
  })

  it('has its ceiling moved where heat holds it, or would', () => {
    expect(withSustained(machine({ heat }), 75).heat!.ceilingRiseK).toBeCloseTo(60, 9)
    expect(withSustained(machine({ heat }), 30).heat!.ceilingRiseK).toBeCloseTo(24, 9)
    expect(withSustained(machine({ heat }), 30).heat!.stages).toBe(heat.stages)
    // A budget of 50 W holds it; heat would at 60 W.
    const below = machine({ heat, budgets: [{ limitW: 50, tauS: 10 }] })
    expect(withSustained(below, 55).heat).toBe(heat)
    expect(withSustained(below, 75).heat!.ceilingRiseK).toBeCloseTo(60, 9)
    expect(settledPower(withSustained(below, 75))).toBeCloseTo(75, 9)
    expect(withSustained(machine({ budgets }), 70).heat).toBeNull()
  })
})
