import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { findRoot } from '../../src/numeric/findRoot.js'

/** The root, and how often the function was asked for. */
function counted(
  valueAt: (x: number) => number,
  edges: readonly [number, number],
): { root: number; calls: number } {
  let calls = 0
  const root = findRoot((x) => {
    calls++
    return valueAt(x)
  }, edges)
  return { root, calls }
}

describe('the zero between two places', () => {
  test.each([
    ['a square root', (x: number) => x * x - 2, [0, 2], Math.SQRT2],
    ['a cubic', (x: number) => x ** 3 - 2 * x - 5, [2, 3], 2.0945514815423265],
    ['a decay', (x: number) => Math.exp(-x) - 1e-10, [0, 100], 10 * Math.LN10],
  ] as const)(
    'of %s is found to 13 digits in far fewer calls than bisection takes',
    (_, valueAt, edges, at) => {
      const { root, calls } = counted(valueAt, edges)
      expect(Math.abs(root / at - 1)).toBeLessThan(2e-13)
      expect(calls).toBeLessThan(30)
    },
  )

  test('may be an edge, and the edges may come in any order', () => {
    expect(counted((x) => x - 3, [3, 9])).toEqual({ root: 3, calls: 2 })
    expect(counted((x) => x - 3, [1, 3])).toEqual({ root: 3, calls: 2 })
    expect(findRoot((x) => x - 3, [7, 1])).toBeCloseTo(3, 12)
  })

  test('at a kink is found too, if not so soon', () => {
    const { root, calls } = counted((x) => (x < 1 ? 5 * (x - 1) : 0.2 * (x - 1)), [-3, 8])
    expect(root).toBeCloseTo(1, 12)
    expect(calls).toBeLessThan(120)
  })

  test('of a function that jumps is where it changes sign', () => {
    const { root, calls } = counted((x) => (x < 0.3 ? -1e-9 : 1), [0, 1])
    expect(root).toBeCloseTo(0.3, 12)
    expect(calls).toBeLessThan(120)
  })

  test('lies where any rising power law crosses a level', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 9, noNaN: true }),
        fc.double({ min: 0.01, max: 99, noNaN: true }),
        (n, at) => {
          const { root, calls } = counted((x) => x ** n - at ** n, [1e-3, 100])
          expect(Math.abs(root / at - 1)).toBeLessThan(1e-12)
          expect(calls).toBeLessThan(130)
        },
      ),
    )
  })

  test('is found no finer than was asked', () => {
    let calls = 0
    const root = findRoot((x) => x ** 3 - 2 + 0 * calls++, [0, 2], 1e-3)
    expect(Math.abs(root / Math.cbrt(2) - 1)).toBeLessThan(1e-3)
    expect(calls).toBeLessThan(9)
  })
})
