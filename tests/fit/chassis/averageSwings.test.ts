import { expect, it } from 'vitest'
import { fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { THIN_CHASSIS, thermostat } from '../../worlds/thermostat.js'

it('a chassis under which power swings is fitted as one that heat holds at the mean, and keeps its first hold', () => {
  const { trace, settledW } = thermostat(THIN_CHASSIS)
  const loads = findLoads(trace)
  const { chassis, kind, warnings } = fitChassis({
    name: 'Dunlin thin',
    trials: [{ trace, loads }],
    ambientC: 22,
  })
  expect(kind).toBe('heat')
  expect(warnings.map(({ code }) => code)).not.toContain('chassis-misses-steady')
  expect(Math.abs(chassis.sustainedW.value / settledW - 1)).toBeLessThan(0.03)
  expect(chassis.burstW.value).toBeCloseTo(55, 0)
  expect(chassis.burstHoldS!.value).toBeCloseTo(loads[0]!.stages[0]!.endS - loads[0]!.stages[0]!.startS, 9)
  // Power falls at 85 and returns at 75 °C.
  expect(chassis.thermal!.ceilingC).toBeGreaterThan(77)
  expect(chassis.thermal!.ceilingC).toBeLessThan(83)
  expect(chassis.thermal!.resistanceKPerW.value).toBeCloseTo(1.45, 1)
})
