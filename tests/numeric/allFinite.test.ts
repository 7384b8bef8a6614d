import { expect, it } from 'vitest'
import { allFinite } from '../../src/numeric/allFinite.js'

it('values are all finite unless one is not, the first and the last included', () => {
  expect(allFinite(Float64Array.of(1, -2, 0))).toBe(true)
  expect(allFinite([])).toBe(true)
  for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])
    for (const place of [0, 1, 2]) expect(allFinite([1, 2, 3].fill(bad, place, place + 1))).toBe(false)
})
