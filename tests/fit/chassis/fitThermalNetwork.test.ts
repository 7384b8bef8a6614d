import { describe, expect, test } from 'vitest'
import { fitThermalNetwork } from '../../../src/fit/chassis/fitThermalNetwork.js'
import {
  advanceRises,
  thermalImpedance,
  totalResistance,
} from '../../../src/physics/chassis/thermalNetwork.js'
import { randomStream } from '../../worlds/randomStream.js'

const STAGES = [
  { rKPerW: 0.3, tauS: 2.5 },
  { rKPerW: 0.35, tauS: 28 },
  { rKPerW: 0.55, tauS: 190 },
]

/** An hour of work and pauses as a sensor of whole degrees shows it. */
function record(stages: typeof STAGES, options: { noiseK: number; seed: number }) {
  const random = randomStream(options.seed)
  const powerW = Array.from({ length: 1500 }, (_, i) =>
    i < 60 ? 5 : i % 70 < 60 ? 45 + 20 * Math.exp(-i / 300) : 5,
  )
  let rises = stages.map((stage) => stage.rKPerW * 5)
  const temperatureC = powerW.map((power) => {
    rises = advanceRises(rises, stages, { powerW: power, forS: 1 })
    return Math.round(22 + rises.reduce((a, b) => a + b, 0) + options.noiseK * random.normal())
  })
  return { lengthsS: powerW.map(() => 1), powerW, temperatureC, restedW: 5 }
}

describe('a thermal network from power and temperature', () => {
  test('three stages are found again from a sensor of whole degrees', () => {
    const fit = fitThermalNetwork(record(STAGES, { noiseK: 0.3, seed: 5 }))!
    expect(Math.abs(fit.resistanceKPerW.value / 1.2 - 1)).toBeLessThan(0.02)
    expect(Math.abs(fit.zeroPowerC - 22)).toBeLessThan(0.5)
    for (const tS of [1, 5, 30, 200, 800]) {
      expect(Math.abs(thermalImpedance(fit.stages, tS) / thermalImpedance(STAGES, tS) - 1)).toBeLessThan(0.06)
    }
  })

  test('one stage is explained by one term', () => {
    const fit = fitThermalNetwork(record([{ rKPerW: 1, tauS: 60 }], { noiseK: 0.3, seed: 8 }))!
    expect(fit.stages).toHaveLength(1)
    expect(Math.abs(fit.stages[0]!.tauS / 60 - 1)).toBeLessThan(0.05)
  })

  test('its 90 % interval of the total resistance holds the truth in most of twenty records', () => {
    let held = 0
    for (let seed = 1; seed <= 20; seed++) {
      const fit = fitThermalNetwork(record(STAGES, { noiseK: 0.4, seed }))!
      const truth = totalResistance(STAGES)
      if (fit.resistanceKPerW.low <= truth && truth <= fit.resistanceKPerW.high) held++
    }
    // Binomial with 20 tries at 0.9: fewer than 14 comes once in four hundred.
    expect(held).toBeGreaterThanOrEqual(14)
  })

  test('too few temperatures, or ones that don’t follow the power, give none', () => {
    const base = record(STAGES, { noiseK: 0.3, seed: 3 })
    const gone = base.temperatureC.map((t, i) => (i < 12 ? t : Number.NaN))
    expect(fitThermalNetwork({ ...base, temperatureC: gone })).toBeNull()
    const falling = base.powerW.map((power) => 90 - 0.3 * power)
    expect(fitThermalNetwork({ ...base, temperatureC: falling })).toBeNull()
  })
})
