import { expect, it } from 'vitest'
import { drawnRange, evenPowers } from '../../../src/predict/overview/machineCurve.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

it('powers are evenly spaced with some more among them, rising, none twice', () => {
  expect(evenPowers([40, 80], 5, [])).toEqual([40, 50, 60, 70, 80])
  expect(evenPowers([40, 80], 3, [70, 55, 60, 40, 80, 30, 90])).toEqual([40, 55, 60, 70, 80])
})

it('a curve is drawn over what was measured and sustained, and a fifth beyond', () => {
  const machine = (measuredRangeW: readonly [number, number], sustainedW: number) =>
    ({
      chip: powerLawChip({ measuredRangeW }),
      chassis: oneBudget({ sustainedW: about(sustainedW) }),
    }) as never
  const range = (...machines: readonly never[]) => drawnRange(machines)
  expect(range(machine([50, 70], 60))).toEqual([50 / 1.2, 70 * 1.2])
  expect(range(machine([50, 70], 40))).toEqual([40 / 1.2, 70 * 1.2])
  expect(range(machine([50, 70], 90), machine([45, 60], 50))).toEqual([45 / 1.2, 90 * 1.2])
})
