import { expect, it } from 'vitest'
import { workPerRun } from '../../../src/fit/chip/workPerRun.js'

const runs = (...works: readonly number[]) => works.map((work) => ({ rate: work / 60, durationS: 60 }))

it('the work of a run is the median of rate × seconds, and one wrong time does not move it', () => {
  expect(workPerRun(runs(6000, 6010, 5990))!.value).toBeCloseTo(6000, 9)
  expect(workPerRun(runs(6000, 6010, 5990, 20_000, 5985))!.value).toBeCloseTo(6000, 9)
  expect(workPerRun([])).toBeNull()
})

it('its interval is Student’s, from a robust spread', () => {
  // Median deviation 60, × 1.482602; a median’s error is sqrt(pi/2) that of a mean; t(0.95, 4) = 2.131847.
  const { value, high, low } = workPerRun(runs(6000, 6060, 5940, 6200, 5980))!
  const half = 2.131847 * 60 * 1.482602 * Math.sqrt(Math.PI / 2 / 5)
  expect(value).toBeCloseTo(6000, 9)
  expect(high - value).toBeCloseTo(half, 2)
  expect(value - low).toBeCloseTo(half, 2)
})

it('it is never surer than 0.2 % a run, with three degrees of freedom', () => {
  // t(0.95, 3) = 2.353363.
  const { value, high } = workPerRun(runs(6000, 6000))!
  expect(high - value).toBeCloseTo(2.353363 * 0.002 * 6000 * Math.sqrt(Math.PI / 2 / 2), 3)
})
