import { describe, expect, it } from 'vitest'
import { findLoads } from '../../src/segment/findLoads.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { THIN_CHASSIS, type Thermostat, thermostat } from '../worlds/thermostat.js'

/** The loads that are found in a thermostat's log, and what it settles at. */
function loadsOf(machine: Thermostat, withTemperature = true) {
  const { trace, settledW } = thermostat(machine, withTemperature)
  return { loads: findLoads(trace), settledW }
}

describe('a chassis that lets power go and cuts in at two temperatures', () => {
  it.each([
    ['a slow swing', THIN_CHASSIS, 0.5],
    ['a fast one', { ...THIN_CHASSIS, letsGoC: 82, cutsInC: 86 }, 0.5],
    ['a deep one', { ...THIN_CHASSIS, lowW: 15, highW: 60 }, 0.5],
    ['a shallow one', { ...THIN_CHASSIS, lowW: 33 }, 0.5],
  ] as const)('sustains the mean of %s, and heat holds it', (_, machine, everyS) => {
    const { loads, settledW } = loadsOf({ ...machine, everyS })
    expect(loads).toHaveLength(1)
    const [load] = loads
    const last = load!.stages.at(-1)!
    expect(load!.runs).toHaveLength(1)
    expect(load!.stages.length).toBeLessThanOrEqual(4)
    expect(last.cycle!.lowW).toBeCloseTo(machine.lowW, -0.5)
    expect(last.cycle!.highW).toBeCloseTo(machine.highW, -0.5)
    expect(last.heldBy.label).toBe('heat')
    expect(last.heldBy.evidence[1]).toMatch(
      /^it falls whenever the temperature comes to 8\d °C, for the first time after \d+ s, and returns at [78]\d °C$/,
    )
    const { low, high, value } = load!.sustained.levelW
    expect(low).toBeLessThan(settledW * 1.002)
    expect(high).toBeGreaterThan(settledW * 0.998)
    expect(Math.abs(value / settledW - 1)).toBeLessThan(0.04)
  })

  it('leaves the cause open without a temperature', () => {
    const last = loadsOf(THIN_CHASSIS, false).loads[0]!.stages.at(-1)!
    expect(last.cycle).toBeDefined()
    expect(last.heldBy.label).toBe('undetermined')
    expect(last.heldBy.evidence.join()).toMatch(/no temperature/)
  })

  it('is told once in its sentence', () => {
    const text = concludeStages(loadsOf(THIN_CHASSIS).loads[0]!)
    expect(text.match(/the mean of a swing between 3\d\.\d and 5\d\.\d\sW every 3\d\ss/g)).toHaveLength(1)
  })

  it('that swings faster than the log can follow is one load between its idle times', () => {
    const { loads, settledW } = loadsOf({ ...THIN_CHASSIS, cutsInC: 85, letsGoC: 83.5, everyS: 2 })
    expect(loads).toHaveLength(1)
    expect(loads[0]!.startS).toBeGreaterThan(30)
    expect(Math.abs(loads[0]!.stages.at(-1)!.levelW.value / settledW - 1)).toBeLessThan(0.15)
  })
})

it('a task that works by turns from its beginning is not held by heat, though its temperature swings', () => {
  const { loads } = loadsOf({ ...THIN_CHASSIS, cutsInC: 200, turnsS: [18, 15] })
  for (const { stages } of loads) for (const { heldBy } of stages) expect(heldBy.label).not.toBe('heat')
})
