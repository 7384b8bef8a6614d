import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  advanceRises,
  powerToReach,
  sustainablePower,
  thermalImpedance,
  totalResistance,
} from '../../../src/physics/chassis/thermalNetwork.js'
import { FOSTER_EXAMPLE, THERMAL_SHEETS } from '../../certified/thermalTables.js'
import { evenDoubles } from '../../evenDoubles.js'

const stagesOf = (r: readonly number[], tau: readonly number[]) =>
  r.map((rKPerW, i) => ({ rKPerW, tauS: tau[i]! }))

describe('thermal impedance of published Foster networks', () => {
  test.each(THERMAL_SHEETS)('$sheet', ({ fosterR, fosterTauS, impedance }) => {
    for (const [tS, kPerW] of impedance) {
      // The table gives six decimals.
      expect(thermalImpedance(stagesOf(fosterR, fosterTauS), tS)).toBeCloseTo(kPerW, 4)
    }
  })

  test('application note AN2008-03', () => {
    const stages = stagesOf(FOSTER_EXAMPLE.rKPerW, FOSTER_EXAMPLE.tauS)
    for (const [tS, kPerW] of FOSTER_EXAMPLE.impedance)
      expect(thermalImpedance(stages, tS)).toBeCloseTo(kPerW, 8)
    expect(totalResistance(stages)).toBeCloseTo(FOSTER_EXAMPLE.totalKPerW, 10)
    const [riseK] = [advanceRises([0, 0, 0, 0], stages, { powerW: 1000, forS: 1 }).reduce((a, b) => a + b, 0)]
    expect(riseK).toBeCloseTo(FOSTER_EXAMPLE.riseOf1kWAfter1sK, 4)
  })
})

describe('power that heat allows', () => {
  const stages = [
    { rKPerW: 0.3, tauS: 3 },
    { rKPerW: 0.8, tauS: 120 },
  ]

  test('the sustainable power ends exactly at the ceiling, for any ambient', () => {
    fc.assert(
      fc.property(evenDoubles(-10, 80), (ambientC) => {
        const powerW = sustainablePower(stages, { ceilingC: 95, ambientC })
        const settled = advanceRises([0, 0], stages, { powerW, forS: 1e5 }).reduce((a, b) => a + b, 0)
        expect(ambientC + settled).toBeCloseTo(95, 8)
      }),
    )
    expect(sustainablePower(stages, { ceilingC: 95, ambientC: 99 })).toBe(0)
    expect(() => sustainablePower([], { ceilingC: 95, ambientC: 20 })).toThrow(/resistance above 0/)
  })

  test('the power that reaches a rise does so', () => {
    const powerW = powerToReach(stages, { risesK: [20, 40], riseK: 70, forS: 4 })
    const after = advanceRises([20, 40], stages, { powerW, forS: 4 }).reduce((a, b) => a + b, 0)
    expect(after).toBeCloseTo(70, 10)
  })
})
