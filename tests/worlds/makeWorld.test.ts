import { describe, expect, it } from 'vitest'
import { CHASSIS_KINDS, makeWorld, rateAt, scoreAt } from './makeWorld.js'
import { projectTruth } from './projectTruth.js'

describe('made-up worlds', () => {
  it('are the same, byte for byte, from the same seed, and others from another', () => {
    const first = makeWorld(11)
    const again = makeWorld(11)
    expect(again.sheetYaml).toBe(first.sheetYaml)
    expect(sameBytes(again.logs[0]!.bytes, first.logs[0]!.bytes)).toBe(true)
    expect(sameBytes(makeWorld(12).logs[0]!.bytes, first.logs[0]!.bytes)).toBe(false)
  })

  it('settle a budget at its limit and heat at the ceiling', () => {
    for (const kind of ['one-step', 'two-step', 'heat'] as const)
      for (let seed = 0; seed < 3; seed++) {
        const { chassis, truth } = makeWorld(seed, { kind, plan: 'hold' })
        const endC = truth.hold.simulation.temperatureC.at(-1)!
        if (kind === 'heat') expect(Math.abs(endC - chassis.ceilingC)).toBeLessThan(0.1)
        else {
          expect(truth.sustainedW / chassis.budgets.at(-1)!.limitW).toBeCloseTo(1, 3)
          expect(endC).toBeLessThan(chassis.ceilingC - 5)
        }
      }
  })

  it('let a budget bite when its running average, summed up on its own, comes to the limit', () => {
    for (let seed = 0; seed < 6; seed++) {
      const { chassis, chip, truth } = makeWorld(seed, { kind: 'one-step', plan: 'hold' })
      const budget = chassis.budgets[0]!
      const { powerW, stepS, loadStartS } = truth.hold.simulation
      let average = chip.idleW
      const bites = Math.round((loadStartS + truth.dropsS[0]! - truth.loadStartS) / stepS)
      for (let i = 0; i < bites; i++) average += ((powerW[i]! - average) * stepS) / budget.tauS
      const margin =
        budget.style === 'latched' ? 0 : (budget.easeS / budget.tauS) * (truth.hold.burstW - budget.limitW)
      expect(Math.abs(average + margin - budget.limitW) / budget.limitW).toBeLessThan(0.01)
    }
  })

  it('score more at more power, never more than at top clock, and the loop ends between first and last', () => {
    for (const [seed, kind] of CHASSIS_KINDS.entries()) {
      const world = makeWorld(seed, { kind })
      const rates = [20, 30, 40, 60, 80, 400].map((powerW) => rateAt(world.chip, world.chassis, powerW))
      expect([...rates].sort((a, b) => a - b)).toEqual(rates)
      expect(rates.at(-1)).toBe(1)
      const again = projectTruth(world, world.chassis, { runs: world.truth.runs.length, gapS: world.gapS })
      expect(again.steadyScore / world.truth.steadyScore!).toBeCloseTo(1, 2)
      expect(again.firstScore / world.truth.firstScore!).toBeCloseTo(1, 2)
      expect(world.truth.steadyScore! / scoreAt(world, world.truth.sustainedW)).toBeGreaterThan(0.7)
    }
  })
})

function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b) === 0
}
