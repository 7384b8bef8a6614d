import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { compensatedDifference } from '../../src/numeric/compensatedSum.js'

/** A double as a whole number of 2^-300, exactly; none of the test's is finer. */
function exactly(value: number): bigint {
  const view = new DataView(new ArrayBuffer(8))
  view.setFloat64(0, value)
  const bits = view.getBigUint64(0)
  const exponent = Number((bits >> 52n) & 0x7ffn)
  const mantissa = (bits & 0xfffffffffffffn) | (exponent === 0 ? 0n : 1n << 52n)
  const size = mantissa << BigInt(Math.max(1, exponent) - 1075 + 300)
  return bits >> 63n === 1n ? -size : size
}

/** start - sum of products in whole numbers of 2^-600. */
function exactDifference(start: number, a: readonly number[], b: readonly number[]): bigint {
  return a.reduce((sum, x, i) => sum - exactly(x) * exactly(b[i]!), exactly(start) << 300n)
}

function asNumber(value: bigint): number {
  // Down to 64 bits first: all of them may be more than a double holds.
  const size = value < 0n ? -value : value
  const drop = BigInt(Math.max(0, size.toString(2).length - 64))
  return Number(value >> drop) * 2 ** (Number(drop) - 600)
}

describe('a start value less a sum of products', () => {
  const value = fc
    .tuple(
      fc.integer({ min: -(2 ** 31), max: 2 ** 31 }),
      fc.integer({ min: 1, max: 2 ** 22 }),
      fc.integer({ min: -60, max: 60 }),
    )
    .map(([high, low, exponent]) => (high + low / 2 ** 22) * 2 ** exponent)

  it('is as exact as twice the working precision allows, however little is left of its terms', () => {
    const pairs = fc.array(fc.tuple(value, value), { minLength: 1, maxLength: 12 })
    fc.assert(
      fc.property(pairs, (terms) => {
        const a = terms.map(([x]) => x)
        const b = terms.map(([, y]) => y)
        // The rounded sum itself as the start: nearly all digits cancel.
        const start = asNumber(-exactDifference(0, a, b))
        const exact = asNumber(exactDifference(start, a, b))
        const size = terms.reduce((sum, [x, y]) => sum + Math.abs(x * y), Math.abs(start))
        const allowed = 2 ** -52 * Math.abs(exact) + (2 * (a.length + 2) * 2 ** -53) ** 2 * size
        expect(Math.abs(compensatedDifference(start, a, b) - exact)).toBeLessThanOrEqual(allowed)
      }),
      { numRuns: 500 },
    )
  })

  it('is exact where plain arithmetic leaves nothing', () => {
    const third = 1 / 3
    // 3 × fl(1/3) is 1 - 2^-54, which rounds to 1.
    expect(1 - 3 * third).toBe(0)
    expect(compensatedDifference(1, [3], [third])).toBe(2 ** -54)
    expect(compensatedDifference(0.1, [0.1], [1])).toBe(0)
    expect(compensatedDifference(7, [], [])).toBe(7)
  })

  it('stays a number where the split of a factor overflows', () => {
    expect(compensatedDifference(0, [1e305], [-2])).toBe(2e305)
  })
})
