import { describe, expect, it } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { chipAtTemperature, middleTemperature } from '../../../src/physics/chip/chipAtTemperature.js'
import { leakageHeat } from '../../../src/physics/chip/leakageHeat.js'
import { rateAt } from '../../../src/physics/chip/scoreCurve.js'

const chip: Chip = {
  name: 'Kestrel 16',
  workload: { name: 'tile render', score: 'points', better: 'higher' },
  measuredRangeW: [10, 14],
  draws: [0.001, 0.004].map((heatPerK) => ({
    weight: 0.5,
    heatPerK,
    curve: { shape: 'power-law', scale: 100, exponent: 0.5, topW: null, bend: null },
  })),
  demandW: null,
  workPerRun: null,
  referenceC: 52,
}

describe('chipAtTemperature', () => {
  it('takes from each draw what leakage takes at the other temperature', () => {
    const hot = chipAtTemperature(chip, 78)
    expect(hot.referenceC).toBe(78)
    hot.draws.forEach(({ curve }, i) => {
      const { curve: cool, heatPerK } = chip.draws[i]!
      expect(rateAt(curve, 12)).toBeCloseTo(rateAt(cool, 12) * Math.exp(-heatPerK! * leakageHeat(78, 52)), 10)
    })
  })

  it('says the same of any third temperature, by whichever way', () => {
    const direct = chipAtTemperature(chip, 90)
    const around = chipAtTemperature(chipAtTemperature(chip, 70), 90)
    direct.draws.forEach((draw, i) => {
      expect(around.draws[i]!.curve.scale).toBeCloseTo(draw.curve.scale, 10)
      expect(around.draws[i]!.heatPerK).toBeCloseTo(draw.heatPerK!, 12)
    })
    const back = chipAtTemperature(direct, 52)
    expect(back.draws[1]!.curve.scale).toBeCloseTo(100, 10)
  })

  it('leaves a chip as it is where its temperature is not known, or is that one', () => {
    expect(chipAtTemperature(chip, 52)).toBe(chip)
    expect(chipAtTemperature(chip, null)).toBe(chip)
    const { referenceC: _, ...unknown } = chip
    expect(chipAtTemperature(unknown, 78)).toBe(unknown)
  })
})

describe('middleTemperature', () => {
  it('is halfway between those that are known, in whole degrees', () => {
    expect(middleTemperature([{ referenceC: 52 }, {}, { referenceC: 61 }])).toBe(57)
    expect(middleTemperature([{}])).toBeNull()
  })
})
