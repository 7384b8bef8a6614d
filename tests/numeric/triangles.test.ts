import { array, assert, double, oneof, property } from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dot } from '../../src/numeric/dot.js'
import { householderQr, type Triangle } from '../../src/numeric/leastSquares/householderQr.js'
import { jacobiSvd } from '../../src/numeric/leastSquares/jacobiSvd.js'
import { evenDoubles } from '../evenDoubles.js'

/** Even ones, and many that are 0 or tiny. */
const number = oneof(evenDoubles(-10, 10), double({ min: -10, max: 10, noNaN: true }))
const column = (length: number) => array(number, { minLength: length, maxLength: length })

/** RᵀR and Rᵀ projected: the products of the columns with each other and with the right side. */
function productsOf({ upper, projected }: Triangle): number[] {
  return upper.flatMap((_, i) => [
    ...upper.map((_, j) => upper.reduce((sum, row) => sum + row[i]! * row[j]!, 0)),
    upper.reduce((sum, row, k) => sum + row[i]! * projected[k]!, 0),
  ])
}

describe('a triangle', () => {
  it('has the products of the columns it came from, whatever their numbers', () => {
    assert(
      property(array(column(7), { minLength: 4, maxLength: 4 }), (given) => {
        const [right, ...columns] = given.map((values) => Float64Array.from(values)) as [
          Float64Array,
          ...Float64Array[],
        ]
        const expected = columns.flatMap((a) => [...columns, right].map((b) => dot(a, b)))
        for (const [k, value] of productsOf(householderQr(columns, right)).entries()) {
          expect(Math.abs(value - expected[k]!)).toBeLessThan(1e-11)
        }
      }),
    )
  })

  it('with a column of zeros has a zero on its diagonal', () => {
    const { upper } = householderQr([new Float64Array(3), Float64Array.of(1, 2, 2)], Float64Array.of(1, 1, 1))
    expect(upper[0]![0]).toBe(0)
    expect(Math.hypot(upper[0]![1]!, upper[1]![1]!)).toBeCloseTo(3, 14)
  })
})

describe('singular values', () => {
  it('give the matrix back with their vectors, which are orthogonal, on random matrices', () => {
    assert(
      property(array(column(4), { minLength: 4, maxLength: 4 }), (columns) => {
        const { values, left, right } = jacobiSvd(columns.map((values) => Float64Array.from(values)))
        for (let j = 0; j < 4; j++) {
          for (let i = 0; i < 4; i++) {
            const entry = left.reduce((sum, u, k) => sum + u[i]! * values[k]! * right[k]![j]!, 0)
            expect(Math.abs(entry - columns[j]![i]!)).toBeLessThan(1e-12)
            const product = right[i]!.reduce((sum, value, k) => sum + value * right[j]![k]!, 0)
            expect(Math.abs(product - (i === j ? 1 : 0))).toBeLessThan(1e-13)
            if (Math.min(values[i]!, values[j]!) > 1e-12 * Math.max(...values))
              expect(Math.abs(dot(left[i]!, left[j]!) - (i === j ? 1 : 0))).toBeLessThan(1e-13)
          }
        }
      }),
    )
  })

  it('leave what they are given as it is, as a triangle does', () => {
    const columns = [Float64Array.of(1, 2), Float64Array.of(3, 4)]
    jacobiSvd(columns)
    householderQr(columns, Float64Array.of(5, 6))
    expect(columns.map((column) => [...column])).toEqual([
      [1, 2],
      [3, 4],
    ])
  })

  it('keep their digits when they are small beside others', () => {
    // [[1, 1], [0, 1e-8]] scaled by columns: the product of the values is the determinant.
    const { values } = jacobiSvd([Float64Array.of(1, 0), Float64Array.of(1, 1e-8)])
    expect((values[0]! * values[1]!) / 1e-8).toBeCloseTo(1, 12)
  })
})
