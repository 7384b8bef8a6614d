import { describe, expect, test } from 'vitest'
import { fitRecordNetwork, fitThermalNetwork } from '../../../src/fit/chassis/fitThermalNetwork.js'
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

/** A quarter of an hour of work and pauses, as an exact sensor shows it. */
function cleanRecord(stages: readonly (typeof STAGES)[number][]) {
  const powerW = Array.from({ length: 900 }, (_, i) => (i % 90 < 60 ? 50 + 20 * Math.exp(-i / 300) : 5))
  let rises = stages.map((stage) => stage.rKPerW * 5)
  const temperatureC = powerW.map((power) => {
    rises = advanceRises(rises, stages, { powerW: power, forS: 1 })
    return 22 + rises.reduce((a, b) => a + b, 0)
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

  test('is as sure as its total is alike in records that differ by their noise alone', () => {
    const two = [
      { rKPerW: 1.5, tauS: 4 },
      { rKPerW: 1.8, tauS: 60 },
    ]
    // A sensor that errs alike for some seconds.
    const drifting = (seed: number) => {
      const random = randomStream(seed)
      let errorK = 0
      const temperatureC = cleanRecord(two).temperatureC.map((celsius) => {
        errorK = 0.8 * errorK + 4.5 * random.normal()
        return celsius + errorK
      })
      return fitThermalNetwork({ ...cleanRecord(two), temperatureC })!.resistanceKPerW
    }
    const totals = Array.from({ length: 16 }, (_, k) => drifting(100 + k))
    const logs = totals.map(({ value }) => Math.log(value))
    const middle = logs.reduce((sum, log) => sum + log, 0) / logs.length
    const scatter = Math.sqrt(logs.reduce((sum, log) => sum + (log - middle) ** 2, 0) / (logs.length - 1))
    const told = totals.map(({ low, high }) => Math.log(high / low) / 3.29).sort((a, b) => a - b)[8]!
    expect(scatter).toBeGreaterThan(0.02)
    // The standard deviation of 16 is known to a fifth.
    expect(told / scatter).toBeGreaterThan(0.6)
    expect(told / scatter).toBeLessThan(1.7)
  })

  test('has no second term for what a sensor errs by alike for a while', () => {
    const one = [{ rKPerW: 1, tauS: 60 }]
    const terms = Array.from({ length: 8 }, (_, k) => {
      const random = randomStream(40 + k)
      let errorK = 0
      const temperatureC = cleanRecord(one).temperatureC.map((celsius) => {
        errorK = 0.95 * errorK + 0.5 * random.normal()
        return celsius + errorK
      })
      return fitThermalNetwork({ ...cleanRecord(one), temperatureC })!.stages.length
    })
    expect(terms).toEqual(new Array(8).fill(1))
  })

  test('leaves 1.2 % open where nothing in the record does', () => {
    const { low, value, high } = fitThermalNetwork(
      record([{ rKPerW: 2.5, tauS: 60 }], { noiseK: 0.1, seed: 2 }),
    )!.resistanceKPerW
    expect(Math.log(high / value) / 1.645).toBeCloseTo(0.012, 3)
    expect(Math.log(value / low) / 1.645).toBeCloseTo(0.012, 3)
  })

  test('tells what it misses, and has no more terms than places', () => {
    const one = fitThermalNetwork(record([{ rKPerW: 1, tauS: 60 }], { noiseK: 0.8, seed: 4 }))!
    // Whole degrees err by 1 / √12 besides.
    expect(one.residualK / Math.hypot(0.8, Math.sqrt(1 / 12))).toBeCloseTo(1, 1)
    for (const stages of [STAGES.slice(0, 2), STAGES.slice(1), STAGES]) {
      const fit = fitThermalNetwork(cleanRecord(stages))!
      expect(fit.stages).toHaveLength(stages.length)
      fit.stages.forEach(({ rKPerW, tauS }, j) => {
        expect(Math.abs(rKPerW / stages[j]!.rKPerW - 1)).toBeLessThan(0.02)
        expect(Math.abs(tauS / stages[j]!.tauS - 1)).toBeLessThan(0.02)
      })
    }
  })

  test('needs twenty temperatures', () => {
    const base = record([{ rKPerW: 1, tauS: 60 }], { noiseK: 0, seed: 1 })
    const some = (count: number) =>
      fitThermalNetwork({
        ...base,
        temperatureC: base.temperatureC.map((celsius, i) =>
          i % 70 === 0 && i < 70 * count ? celsius : Number.NaN,
        ),
      })
    expect(some(20)).not.toBeNull()
    expect(some(19)).toBeNull()
  })

  test('is that of a load’s own record: its steps, its idle power', () => {
    const { powerW, temperatureC } = record([{ rKPerW: 1, tauS: 60 }], { noiseK: 0.3, seed: 8 })
    const ofLoad = {
      fromS: Float64Array.from(powerW, (_, i) => i),
      toS: Float64Array.from(powerW, (_, i) => i + 1),
      powerW: Float64Array.from(powerW),
      temperatureC: Float64Array.from(temperatureC),
      pass: new Int32Array(powerW.length),
      passes: [],
      idleW: 5,
      startS: 0,
    } as unknown as Parameters<typeof fitRecordNetwork>[0]
    const fit = fitRecordNetwork(ofLoad)!
    expect(fit.stages).toHaveLength(1)
    expect(Math.abs(fit.stages[0]!.tauS / 60 - 1)).toBeLessThan(0.05)
    expect(fitRecordNetwork({ ...ofLoad, temperatureC: null })).toBeNull()
  })

  test('too few temperatures, or ones that don’t follow the power, give none', () => {
    const base = record(STAGES, { noiseK: 0.3, seed: 3 })
    const gone = base.temperatureC.map((t, i) => (i < 12 ? t : Number.NaN))
    expect(fitThermalNetwork({ ...base, temperatureC: gone })).toBeNull()
    const falling = base.powerW.map((power) => 90 - 0.3 * power)
    expect(fitThermalNetwork({ ...base, temperatureC: falling })).toBeNull()
  })
})
