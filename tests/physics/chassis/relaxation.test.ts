import { expect, test } from 'vitest'
import {
  relaxationAt,
  relaxationMean,
  relaxationSettlesAfter,
} from '../../../src/physics/chassis/relaxation.js'

const FALL = { from: 90, toward: 45, tauS: 30 }

test('a relaxation has gone all but 1/e of its way after one time constant', () => {
  expect(relaxationAt(FALL, 30)).toBeCloseTo(45 + 45 / Math.E, 10)
})

test('its mean is that of its values', () => {
  const values = Array.from({ length: 6000 }, (_, i) => relaxationAt(FALL, (i + 0.5) / 100))
  expect(relaxationMean(FALL, 60)).toBeCloseTo(values.reduce((a, b) => a + b, 0) / 6000, 5)
  expect(relaxationMean(FALL, 0)).toBe(90)
})

test('it settles when its distance is the tolerance, at once when it starts inside', () => {
  const settledS = relaxationSettlesAfter(FALL, 0.9)
  expect(relaxationAt(FALL, settledS)).toBeCloseTo(45.9, 10)
  expect(relaxationSettlesAfter({ ...FALL, from: 45.5 }, 0.9)).toBe(0)
  expect(() => relaxationSettlesAfter(FALL, 0)).toThrow(
    expect.objectContaining({ code: 'tolerance-not-positive', message: expect.stringContaining('above 0') }),
  )
})
