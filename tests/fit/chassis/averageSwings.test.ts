import { expect, it } from 'vitest'
import { averageSwings } from '../../../src/fit/chassis/averageSwings.js'
import { fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
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

it('power that swings is its mean from the first fall on, to the end of its pass; all else stays as it was', () => {
  const swing = Array.from({ length: 8 }, () => [
    ...new Array<number>(8).fill(30),
    ...new Array<number>(12).fill(60),
  ]).flat()
  const pass = (work: readonly number[], index: number) => work.map((powerW) => ({ powerW, index }))
  const level = new Array<number>(100).fill(60)
  const pause = pass([6, 6, 6], -1)
  const samples = [...pause, ...pass([...level, ...swing], 0), ...pause, ...pass(level, 1), ...pause]
  const powerW = Float64Array.from(samples, (sample) => sample.powerW)
  // A spike within the swing is of no pass.
  const index = Int16Array.from(samples, (sample, i) => (i === 150 ? -1 : sample.index))
  powerW[150] = 200
  const record = {
    powerW,
    pass: index,
    passes: [{}, {}, {}],
    toS: powerW.map((_, i) => i + 1),
  } as unknown as LoadRecord
  const before = powerW.slice()
  const averaged = averageSwings(record).powerW
  expect(record.powerW).toEqual(before)
  const [from, to] = [3 + 100, 3 + 100 + 160]
  expect([...averaged.subarray(0, from)]).toEqual([...before.subarray(0, from)])
  expect([...averaged.subarray(to)]).toEqual([...before.subarray(to)])
  // The spike's cycle has one low second less.
  for (const watts of averaged.subarray(from, to)) {
    expect(watts).toBeGreaterThanOrEqual((30 * 8 + 60 * 12) / 20 - 1e-9)
    expect(watts).toBeLessThanOrEqual((30 * 7 + 60 * 12) / 19 + 1e-9)
  }
  expect(averaged[to - 1]).toBeCloseTo(48, 9)
})
