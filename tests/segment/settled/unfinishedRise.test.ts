import { expect, it } from 'vitest'
import { unfinishedRise } from '../../../src/segment/settled/unfinishedRise.js'

const toward = { value: 100, low: 98, high: 104, level: 0.9 }

it('a rise comes to somewhere between its end and what it tends to', () => {
  expect(unfinishedRise(toward, 80, 70)).toEqual({ value: 90, low: 82, high: 104, level: 0.9 })
  expect(unfinishedRise(toward, 99, 70)).toEqual({ value: 99.5, low: 98, high: 104, level: 0.9 })
})

it('that is level already, below where its course as a whole ends, stays there', () => {
  expect(unfinishedRise(toward, 107, 70)).toEqual({ value: 100, low: 98, high: 107, level: 0.9 })
})

it('stays within a twentieth above what the log shows to be held, where that is above its end', () => {
  const { value, low, high } = unfinishedRise({ ...toward, value: 200, high: 300 }, 80, 90)
  expect(value).toBeCloseTo((80 + 94.5) / 2, 9)
  expect(low).toBeCloseTo(81.45, 9)
  expect(high).toBeCloseTo(94.5, 9)
  expect(unfinishedRise({ ...toward, value: 200, high: 300 }, 80, 80).high).toBe(300)
  expect(unfinishedRise(toward, 80, 120)).toEqual(unfinishedRise(toward, 80, 70))
})
