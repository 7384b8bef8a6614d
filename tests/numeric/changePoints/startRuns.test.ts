import fc from 'fast-check'
import { expect, test } from 'vitest'
import { findChangePoints } from '../../../src/numeric/changePoints/findChangePoints.js'
import { StartRuns } from '../../../src/numeric/changePoints/startRuns.js'

test('edges are those that following the starts one by one gives, however often the start changes', () => {
  const starts = fc
    .array(fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }), { minLength: 1, maxLength: 900 })
    .chain((shares) =>
      // Now and then the start moves; else it stays.
      fc.array(fc.boolean(), { minLength: shares.length, maxLength: shares.length }).map((moves) => {
        let start = 0
        return shares.map((share, i) => {
          if (moves[i]) start = Math.floor(share * (i + 1))
          return start
        })
      }),
    )
  fc.assert(
    fc.property(starts, (startOf) => {
      const runs = new StartRuns()
      startOf.forEach((start, i) => {
        runs.note(i + 1, start)
      })
      const expected: number[] = []
      for (let end = startOf.at(-1)!; end > 0; end = startOf[end - 1]!) expected.unshift(end)
      expect(runs.edges(startOf.length)).toEqual(expected)
    }),
    { numRuns: 200 },
  )
})

test('a thousand changes of the start are as good as ten', () => {
  const runs = new StartRuns()
  for (let values = 1; values <= 1000; values++) runs.note(values, values - 1)
  expect(runs.edges(1000)).toEqual(Array.from({ length: 999 }, (_, i) => i + 1))
  expect(runs.edges(300)).toEqual(Array.from({ length: 299 }, (_, i) => i + 1))
})

test('a series is left as it was, and an array of another kind is cut at the same places', () => {
  const values = Float64Array.from({ length: 400 }, (_, i) => (Math.floor(i / 90) % 2) * 5 + Math.sin(i * i))
  const before = values.slice()
  const { edges } = findChangePoints(values, { penalty: 12, minLength: 7 })
  expect(edges.length).toBeGreaterThan(2)
  expect(values).toEqual(before)
  expect(findChangePoints([...values], { penalty: 12, minLength: 7 }).edges).toEqual(edges)
})
