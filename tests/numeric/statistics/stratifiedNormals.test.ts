import { expect, it } from 'vitest'
import { normalQuantile } from '../../../src/numeric/statistics/normalQuantile.js'
import { stratifiedNormals } from '../../../src/numeric/statistics/stratifiedNormals.js'

it('every column is the same exact sample in an order of its own, repeated by its seed', () => {
  const rows = stratifiedNormals(40, 3, 7)
  const wanted = Array.from({ length: 40 }, (_, i) => normalQuantile((i + 0.5) / 40))
  const columns = [0, 1, 2].map((j) => rows.map((row) => row[j]!))
  for (const column of columns) {
    expect([...column].sort((a, b) => a - b)).toEqual(wanted)
    expect(column).not.toEqual(wanted)
  }
  expect(columns[0]).not.toEqual(columns[1])
  expect(stratifiedNormals(40, 3, 7)).toEqual(rows)
  expect(stratifiedNormals(40, 3, 8)).not.toEqual(rows)
})

it('columns know nothing of each other', () => {
  const rows = stratifiedNormals(400, 2, 3)
  const product = rows.reduce((sum, [a, b]) => sum + a! * b!, 0) / rows.length
  expect(Math.abs(product)).toBeLessThan(0.15)
})
