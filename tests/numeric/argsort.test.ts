import fc from 'fast-check'
import { expect, test } from 'vitest'
import { argsort } from '../../src/numeric/argsort.js'

test('places are told from the least value to the greatest', () => {
  expect([...argsort([30, 10, 20])]).toEqual([1, 2, 0])
  expect([...argsort([])]).toEqual([])
})

test('equal values keep their order, as in a stable sort with a comparison, whatever the number of values', () => {
  const some = fc.array(fc.oneof(fc.integer({ min: -3, max: 3 }), fc.double({ noNaN: true })), {
    maxLength: 200,
  })
  fc.assert(
    fc.property(some, (values) => {
      const expected = values
        .map((_, i) => i)
        .sort((i, j) => (values[i]! < values[j]! ? -1 : +(values[i]! > values[j]!)))
      expect([...argsort(values)]).toEqual(expected)
    }),
    { numRuns: 300 },
  )
})
