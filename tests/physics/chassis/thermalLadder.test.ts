import { describe, expect, test } from 'vitest'
import { cauerToFoster, fosterToCauer } from '../../../src/physics/chassis/thermalLadder.js'
import { thermalImpedance } from '../../../src/physics/chassis/thermalNetwork.js'
import { THERMAL_SHEETS } from '../../certified/thermalTables.js'

const stagesOf = (r: readonly number[], tau: readonly number[]) =>
  r.map((rKPerW, i) => ({ rKPerW, tauS: tau[i]! }))
const relative = (a: number, b: number) => Math.abs(a / b - 1)

describe('Cauer ladders', () => {
  test.each(THERMAL_SHEETS)(
    'the exact ladder of $sheet is found',
    ({ fosterR, fosterTauS, cauerR, cauerC }) => {
      const rungs = fosterToCauer(stagesOf(fosterR, fosterTauS))
      expect(rungs).toHaveLength(cauerR.length)
      // The sheets print time constants to nine decimals: six digits of the fastest term.
      rungs.forEach((rung, i) => {
        expect(relative(rung.rKPerW, cauerR[i]!)).toBeLessThan(1e-6)
        expect(relative(rung.capacityJPerK, cauerC[i]!)).toBeLessThan(1e-6)
      })
    },
  )

  test.each(THERMAL_SHEETS)('there and back gives the terms of $sheet', ({ fosterR, fosterTauS }) => {
    const stages = stagesOf(fosterR, fosterTauS).sort((a, b) => b.tauS - a.tauS)
    const back = cauerToFoster(fosterToCauer(stages))
    expect(back).toHaveLength(stages.length)
    back.forEach((stage, i) => {
      expect(relative(stage.rKPerW, stages[i]!.rKPerW)).toBeLessThan(1e-6)
      expect(relative(stage.tauS, stages[i]!.tauS)).toBeLessThan(1e-6)
    })
  })

  test.each(THERMAL_SHEETS)(
    'the printed Cauer fit of $sheet agrees with its Foster fit within 3 % from 0.1 s on',
    ({ fosterR, fosterTauS, printedCauerR, printedCauerC }) => {
      const rungs = printedCauerR.map((rKPerW, i) => ({ rKPerW, capacityJPerK: printedCauerC[i]! }))
      const fromCauer = cauerToFoster(rungs)
      for (const tS of [0.1, 1, 10, 100]) {
        const ratio = thermalImpedance(fromCauer, tS) / thermalImpedance(stagesOf(fosterR, fosterTauS), tS)
        expect(Math.abs(ratio - 1)).toBeLessThan(0.03)
      }
    },
  )

  test('no rungs and no terms are each other', () => {
    expect(fosterToCauer([])).toEqual([])
    expect(cauerToFoster([])).toEqual([])
  })

  const term = { rKPerW: 1, tauS: 5 }
  test.each([
    [[term, { rKPerW: 2, tauS: 5 }]],
    [[term, { rKPerW: 0, tauS: 9 }]],
    [[{ rKPerW: -1, tauS: 2 }, term]],
    [[term, { rKPerW: 1, tauS: 0 }]],
    [[{ rKPerW: 1, tauS: -3 }, term]],
  ])('terms that are no network are refused: %j', (stages) => {
    expect(() => fosterToCauer(stages)).toThrow(
      expect.objectContaining({ code: 'thermal-stages-not-distinct' }),
    )
  })

  const rung = { rKPerW: 1, capacityJPerK: 5 }
  test.each([
    [[rung, { rKPerW: 0, capacityJPerK: 5 }]],
    [[{ rKPerW: 1, capacityJPerK: 0 }, rung]],
    [[rung, { rKPerW: -1, capacityJPerK: -5 }]],
  ])('rungs that are no ladder are refused: %j', (rungs) => {
    const wrong = expect.objectContaining({
      code: 'thermal-rung-not-positive',
      message: 'expected a resistance and a capacity above 0 in every rung',
    })
    expect(() => cauerToFoster(rungs)).toThrow(wrong)
  })
})
