import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { logarithmicMean } from '../../src/numeric/statistics/logarithmicMean.js'
import { shapleyValues } from '../../src/numeric/statistics/shapleyValues.js'
import { LMDI_STEPS } from '../certified/decompositions.js'
import { evenDoubles } from '../evenDoubles.js'

describe('Shapley values', () => {
  test('of a product of two factors are the symmetric split', () => {
    // B. W. Ang, F. L. Liu, E. P. Chew (2003), Energy Policy 31, 1561-1566 (from memory): 2 x 3 becomes 5 x 7.
    expect(shapleyValues(2, (set) => (set & 1 ? 5 : 2) * (set & 2 ? 7 : 3))).toEqual([15, 14])
  })

  test('of the glove game are 1/6, 1/6, 2/3', () => {
    // L. S. Shapley (1953): two left gloves and a right one; a pair is worth 1 (standard example, from memory).
    const shares = shapleyValues(3, (set) => (set & 4 && set & 3 ? 1 : 0))
    ;[1 / 6, 1 / 6, 2 / 3].forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12)
    })
  })

  test('of the airport game are 2, 3, 4, 9', () => {
    // S. C. Littlechild, G. Owen (1973), Management Science 20, 370-372 (from memory): runways of 8, 11, 13, 18.
    const costs = [8, 11, 13, 18]
    const shares = shapleyValues(4, (set) => Math.max(0, ...costs.filter((_, i) => (set >> i) & 1)))
    ;[2, 3, 4, 9].forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12)
    })
  })

  test('add up to what all achieve together, and change sign when every set is replaced by its complement', () => {
    fc.assert(
      fc.property(fc.array(evenDoubles(-9, 9), { minLength: 16, maxLength: 16 }), (worths) => {
        const shares = shapleyValues(4, (set) => worths[set]!)
        const swapped = shapleyValues(4, (set) => worths[15 - set]!)
        expect(shares.reduce((a, b) => a + b, 0)).toBeCloseTo(worths[15]! - worths[0]!, 9)
        shares.forEach((share, i) => {
          expect(share + swapped[i]!).toBeCloseTo(0, 9)
        })
      }),
    )
  })
})

describe('the number of players', () => {
  test.each([0, 17, 2.5, Number.NaN])('is refused and named when it is %d', (players) => {
    expect(() => shapleyValues(players, () => 0)).toThrow(
      expect.objectContaining({
        code: 'players-unusable',
        message: expect.stringContaining(`got ${players}`),
      }),
    )
  })

  test.each([1, 16])('may be %d, and players alike share alike', (players) => {
    const all = 2 ** players - 1
    const shares = shapleyValues(players, (set) => (set === all ? 1 : 0))
    expect(shares).toHaveLength(players)
    for (const share of shares) expect(share).toBeCloseTo(1 / players, 12)
  })
})

describe('logarithmic mean', () => {
  test.each(LMDI_STEPS)(
    'divides a change into the published parts',
    ({ from, to, additive, multiplicative }) => {
      const product = (row: readonly number[]) => row.reduce((a, b) => a * b, 1)
      const total = (rows: readonly (readonly number[])[]) => rows.reduce((sum, row) => sum + product(row), 0)
      const wholeMean = logarithmicMean(total(to), total(from))
      additive.forEach((published, k) => {
        const part = from.reduce(
          (sum, row, i) =>
            sum + logarithmicMean(product(to[i]!), product(row)) * Math.log(to[i]![k]! / row[k]!),
          0,
        )
        expect(part).toBeCloseTo(published, 7)
        expect(Math.exp(part / wholeMean)).toBeCloseTo(multiplicative[k]!, 8)
      })
    },
  )

  test('of equal or nearly equal values is their value', () => {
    expect(logarithmicMean(7, 7)).toBe(7)
    expect(logarithmicMean(7 * (1 + 1e-9), 7)).toBeCloseTo(7 * (1 + 5e-10), 12)
  })

  test.each([2e-6, 9e-6, -9e-6, 1.1e-5, 3e-4])('keeps its digits where values differ by %d', (apart) => {
    // The same quotient by another way: b x / ln(1 + x) for a = b (1 + x).
    const b = 7
    const a = b * (1 + apart)
    const x = (a - b) / b
    const exact = (b * x) / Math.log1p(x)
    expect(Math.abs(logarithmicMean(a, b) / exact - 1)).toBeLessThan(
      1e-10 * Math.max(1e-4, 1e-6 / Math.abs(x)),
    )
  })

  test.each([
    [0, 1],
    [1, 0],
    [-1, -2],
    [Number.NaN, 1],
  ])('of %d and %d is refused, and both are named', (a, b) => {
    expect(() => logarithmicMean(a, b)).toThrow(
      expect.objectContaining({
        code: 'values-not-positive',
        message: expect.stringContaining(`above 0, got ${a} and ${b}`),
      }),
    )
  })
})
