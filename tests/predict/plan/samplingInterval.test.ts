import { expect, it } from 'vitest'
import { samplingInterval } from '../../../src/predict/plan/samplingInterval.js'

it.each([
  [null, 1],
  [100, 5],
  [25, 5],
  [24.9, 2],
  [10, 2],
  [9.9, 1],
  [5, 1],
  [2.4, 0.2],
  [0.5, 0.1],
  [0.1, 0.1],
])('five samples fit in a burst of %s s at %f s', (burstS, everyS) => {
  expect(samplingInterval(burstS)).toBe(everyS)
})
