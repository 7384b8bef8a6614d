import { describe, expect, test } from 'vitest'
import type { HeldLevels } from '../../../src/fit/chassis/findHeldLevels.js'
import { fitHeatHold } from '../../../src/fit/chassis/fitHeatHold.js'
import type { ThermalFit } from '../../../src/fit/chassis/fitThermalNetwork.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { PLAIN_MACHINE } from '../../physics/loop/plainMachine.js'
import { equalPasses, machineRecord } from './machineRecord.js'

/** 1 K/W in all, so that a ceiling 62 K above the air holds 62 W. */
const STAGES = [
  { rKPerW: 0.4, tauS: 5 },
  { rKPerW: 0.6, tauS: 90 },
]
const CONTROL = { wPerK: 1, wPerKS: 0.3 }
const NETWORK: ThermalFit = {
  stages: STAGES,
  zeroPowerC: 23,
  resistanceKPerW: { value: 1, low: 0.98, high: 1.02, level: 0.9 },
  residualK: 0.2,
}
const hot = (parts: Partial<LoopMachine> = {}, restsInPauses = false, control = CONTROL): LoopMachine => ({
  ...PLAIN_MACHINE,
  responseS: 1,
  heat: { stages: STAGES, ceilingRiseK: 62, control: { ...control, restsInPauses } },
  ...parts,
})
const LEVELS: HeldLevels = { burstW: 99, shortTermW: null, sustainedW: 63, firstDropS: 20, secondDropS: null }
const WHOLE = equalPasses(1, 500, 0)

/** The record with the temperature that the network has behind the power, second by second. */
function withTemperature(record: LoadRecord): LoadRecord {
  const rises = STAGES.map(({ rKPerW }) => rKPerW * record.idleW)
  const temperatureC = record.powerW.map((w) => {
    STAGES.forEach(({ rKPerW, tauS }, k) => {
      rises[k] = rKPerW * w + (rises[k]! - rKPerW * w) * Math.exp(-1 / tauS)
    })
    return 23 + rises[0]! + rises[1]!
  })
  return { ...record, temperatureC }
}

describe('a load that heat holds, with its thermal network', () => {
  test('tells the ceiling and the burst, from a start that is off', () => {
    const record = withTemperature(machineRecord(hot(), WHOLE))
    const fit = fitHeatHold(record, LEVELS, NETWORK)!
    expect(fit).toMatchObject({ kind: 'heat', network: NETWORK, budget: null })
    expect(fit.parameters).toHaveLength(4)
    expect(fit.parameters[0]! / 100).toBeCloseTo(1, 2)
    expect(fit.ceilingRise / 62).toBeCloseTo(1, 2)
    expect(fit.ceilingRise).toBe(fit.parameters[1])
    expect(fit.cost / fit.samples).toBeLessThan(1.6)
    expect(fit.machine).toMatchObject({ idleW: 6, budgets: [], timedSteps: [], heat: { stages: STAGES } })
    expect(fit.machine.heat!.control).toEqual({ wPerK: fit.parameters[2], wPerKS: fit.parameters[3] })
  })

  test('has its ceiling where the power says it is, though the thermometer shows 5 K less', () => {
    const record = withTemperature(machineRecord(hot(), WHOLE))
    const low = { ...record, temperatureC: record.temperatureC!.map((c) => c - 5) }
    expect(fitHeatHold(low, LEVELS, NETWORK)!.ceilingRise / 62).toBeCloseTo(1, 2)
  })

  test('has its ceiling from work alone, however long the pauses', () => {
    const record = withTemperature(machineRecord(hot(), equalPasses(3, 150, 400)))
    const fit = fitHeatHold(record, LEVELS, NETWORK)!
    expect(fit.ceilingRise / 62).toBeCloseTo(1, 2)
    expect(fit.cost / fit.samples).toBeLessThan(1.6)
  })

  test('starts from all temperatures where few are seen while the power gives way', () => {
    const record = withTemperature(machineRecord(hot(), WHOLE))
    const seldom = record.temperatureC!.map((c, i) => (i < 25 || i % 120 === 0 ? c : Number.NaN))
    expect(
      fitHeatHold({ ...record, temperatureC: seldom }, LEVELS, NETWORK)!.parameters[1]! / 62,
    ).toBeLessThan(1.1)
  })

  test('comes after a budget where the levels show one and heat alone leaves more than noise', () => {
    const machine = hot({ peakW: 130, budgets: [{ limitW: 85, tauS: 12 }] })
    const record = withTemperature(machineRecord(machine, WHOLE))
    const levels = { ...LEVELS, burstW: 128, shortTermW: 84, firstDropS: 12 }
    const fit = fitHeatHold(record, levels, NETWORK)!
    expect(fit.parameters).toHaveLength(6)
    expect(fit.parameters[0]! / 130).toBeCloseTo(1, 2)
    expect(Math.abs(fit.parameters[4]! / 85 - 1)).toBeLessThan(0.01)
    expect(Math.abs(fit.parameters[5]! / 12 - 1)).toBeLessThan(0.05)
    expect(fit.ceilingRise / 62).toBeCloseTo(1, 2)
    expect(fit.machine.budgets).toEqual([{ limitW: fit.parameters[4], tauS: fit.parameters[5] }])
    for (const firstDropS of [0, null])
      expect(fitHeatHold(record, { ...levels, firstDropS }, NETWORK)!.parameters).toHaveLength(4)
  })

  test('takes no budget where heat alone explains it', () => {
    const record = withTemperature(machineRecord(hot(), WHOLE))
    const fit = fitHeatHold(record, { ...LEVELS, shortTermW: 80 }, NETWORK)!
    expect(fit.parameters).toHaveLength(4)
  })

  test('has a controller that pauses put to rest, or not, as its later runs show', () => {
    const passes = equalPasses(4, 150, 4)
    // One that makes up for an offset within 20 s, so that it has not forgotten after a pause.
    const slow = { wPerK: 1, wPerKS: 0.05 }
    for (const rests of [false, true]) {
      const record = withTemperature(machineRecord(hot({}, rests, slow), passes))
      const fit = fitHeatHold(record, LEVELS, NETWORK)!
      expect(fit.machine.heat!.control!.restsInPauses ?? false).toBe(rests)
      expect(fit.ceilingRise / 62).toBeCloseTo(1, 2)
    }
  })
})

describe('a load that heat holds, without a thermometer', () => {
  test('tells the network in watts: shares of 1 in all, and the power that heat leaves in the end', () => {
    const fit = fitHeatHold(machineRecord(hot(), WHOLE), LEVELS, null)!
    expect(fit.network).toBeNull()
    const shares = fit.machine.heat!.stages.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
    expect(shares).toBeCloseTo(1, 9)
    expect(fit.ceilingRise / 62).toBeCloseTo(1, 1)
    expect(fit.parameters[0]! / 100).toBeCloseTo(1, 2)
    expect(fit.budget!.limitW).toBeGreaterThan(55)
  })

  test('is none where the power hardly gave way', () => {
    const short = machineRecord(hot(), equalPasses(1, 25, 0))
    expect(fitHeatHold(short, { ...LEVELS, firstDropS: 18 }, null)).toBeNull()
  })
})
