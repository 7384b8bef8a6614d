import { expect, it } from 'vitest'
import { multiplesWithin, roundStepAbove, roundStepBelow, roundTicks } from '../../src/numeric/roundTicks.js'
import { segmentMeans } from '../../src/numeric/segmentMeans.js'

it('round steps are 1, 2 or 5 times a power of ten, on either side of a length', () => {
  expect([0.011, 0.02, 0.03, 1, 1.01, 3, 5.01, 70].map(roundStepAbove)).toEqual([
    0.02, 0.02, 0.05, 1, 2, 5, 10, 100,
  ])
  expect([0.019, 0.02, 0.06, 1, 1.99, 3, 5, 9.9, 70].map(roundStepBelow)).toEqual([
    0.01, 0.02, 0.05, 1, 1, 2, 5, 5, 50,
  ])
  // A length that misses a round one by rounding is that one.
  expect(roundStepAbove(0.1 + 0.1 + 0.3 + 1e-12)).toBe(0.5)
  expect(roundStepBelow(0.2 - 1e-12)).toBe(0.2)
})

it('multiples lie within their bounds, those included that rounding misses', () => {
  expect(multiplesWithin(0.1, 0.5, 0.2)).toEqual([0.2, 0.4])
  expect(multiplesWithin(0.1 + 0.2, 0.7 - 0.1, 0.3)).toEqual([0.3, 0.6])
  expect(multiplesWithin(-10, 10, 5)).toEqual([-10, -5, 0, 5, 10])
  expect(multiplesWithin(11, 19, 20)).toEqual([])
  expect(multiplesWithin(11, 21, 20)).toEqual([20])
})

it('ticks are no more than asked for', () => {
  expect(roundTicks(44, 96, 6)).toEqual([50, 60, 70, 80, 90])
  expect(roundTicks(0, 100, 5)).toEqual([0, 20, 40, 60, 80, 100])
  expect(roundTicks(0, 100, 0)).toEqual([0, 100])
  expect(roundTicks(5, 5, 4)).toEqual([5])
})

it('means of segments are those of their values', () => {
  expect(segmentMeans(Float64Array.of(1, 3, 8), [2])).toEqual([2, 8])
  expect(segmentMeans(Float64Array.of(1, 3, 8, 4, 6), [1, 3])).toEqual([1, 5.5, 5])
  // A plain sum of ten tenths is less than one.
  expect(segmentMeans(new Float64Array(30).fill(0.1), [10, 20])).toEqual([0.1, 0.1, 0.1])
})
