import { expect, test } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { requirePowers } from '../../../src/physics/chip/requirePowers.js'

const CHIP: Chip = {
  name: 'Dunlin 6',
  workload: { name: 'sort', score: 'points', better: 'higher' },
  measuredRangeW: [20, 60],
  draws: [{ weight: 1, curve: { shape: 'power-law', scale: 100, exponent: 0.5 } }],
  demandW: null,
  workPerRun: null,
}

test('powers from a tenth of the lowest to ten times the highest are taken', () => {
  expect(() => requirePowers(CHIP, [])).not.toThrow()
  expect(() => requirePowers(CHIP, [2, 45, 600])).not.toThrow()
})

test.each([1.99, 601, 0, Number.NaN])('%d W are refused, with the bounds and what was measured', (powerW) => {
  const wrong = expect.objectContaining({
    code: 'power-out-of-reach',
    message: expect.stringMatching(/^expected 2 W to 600 W for Dunlin 6, got /),
    details: { remedy: expect.stringMatching(/from 20 W to 60 W;/) },
  })
  expect(() => requirePowers(CHIP, [45, powerW])).toThrow(wrong)
})
