import { expect, it } from 'vitest'
import { indices } from '../../src/numeric/indices.js'

it('places are counted from 0, of one array that all share, as long as any needed', () => {
  expect([...indices(3)]).toEqual([0, 1, 2])
  expect([...indices(0)]).toEqual([])
  const long = indices(300)
  expect([...long]).toEqual(Array.from({ length: 300 }, (_, i) => i))
  const short = indices(5)
  expect([...short]).toEqual([0, 1, 2, 3, 4])
  expect(short.buffer).toBe(long.buffer)
  expect(indices(300).buffer).toBe(long.buffer)
  expect([...indices(301)].at(-1)).toBe(300)
})
