import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { optimalPartition, type PartitionCost } from '../../../src/numeric/changePoints/optimalPartition.js'
import { evenDoubles } from '../../evenDoubles.js'

/** Every cut of n values into segments of at least `shortest`, as edges. */
function allCuts(n: number, shortest: number): readonly (readonly number[])[] {
  const from = (start: number): number[][] => {
    const cuts: number[][] = [[]]
    for (let edge = start + shortest; edge + shortest <= n; edge++) {
      for (const rest of from(edge)) cuts.push([edge, ...rest])
    }
    return cuts
  }
  return from(0)
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

/** Loss of some values at the level at which it is least: the mean of those that are not given up, whichever these are. */
function leastLoss(values: readonly number[], limit: number | undefined): number {
  if (limit === undefined) return values.reduce((sum, value) => sum + (value - mean(values)) ** 2, 0)
  let least = limit * values.length
  for (let set = 1; set < 2 ** values.length; set++) {
    const level = mean(values.filter((_, i) => (set >> i) & 1))
    least = Math.min(least, lossAt(values, level, limit))
  }
  return least
}

const lossAt = (values: readonly number[], level: number, limit: number) =>
  values.reduce((sum, value) => sum + Math.min(limit, (value - level) ** 2), 0)

const segmentsOf = (values: readonly number[], edges: readonly number[]) =>
  [0, ...edges].map((from, k) => values.slice(from, edges[k] ?? values.length))

const costOf = (values: readonly number[], edges: readonly number[], { penalty, lossLimit }: PartitionCost) =>
  segmentsOf(values, edges).reduce((sum, part) => sum + leastLoss(part, lossLimit), penalty * edges.length)

/** A few levels with noise, or anything, with ties now and then. */
const series = fc.oneof(
  fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 2, maxLength: 9 }),
  fc.array(evenDoubles(-5, 5), { minLength: 2, maxLength: 9 }),
  fc
    .array(fc.tuple(fc.constantFrom(0, 4, 7), evenDoubles(-0.5, 0.5)), { minLength: 3, maxLength: 9 })
    .map((pairs) => pairs.map(([level, noise]) => level + noise)),
)

describe.each([
  ['squares', undefined],
  ['losses of 4 at most', 4],
  ['losses of 0.5 at most', 0.5],
] as const)('the best cut by %s', (_, lossLimit) => {
  test('costs as little as the best of all cuts', () => {
    fc.assert(
      fc.property(
        series,
        evenDoubles(0.05, 12),
        fc.integer({ min: 1, max: 4 }),
        (values, penalty, minLength) => {
          const cost = { penalty, minLength, lossLimit }
          const { edges, levels } = optimalPartition(Float64Array.from(values), cost)
          const shortest = Math.min(minLength, values.length)
          for (const part of segmentsOf(values, edges)) expect(part.length).toBeGreaterThanOrEqual(shortest)
          const least = Math.min(...allCuts(values.length, shortest).map((cut) => costOf(values, cut, cost)))
          expect(costOf(values, edges, cost)).toBeCloseTo(least, 8)
          if (lossLimit === undefined || levels === undefined) return
          // The levels are those at which it costs that.
          const atLevels = segmentsOf(values, edges).map((part, k) => lossAt(part, levels[k]!, lossLimit))
          expect(atLevels.reduce((sum, loss) => sum + loss, penalty * edges.length)).toBeCloseTo(least, 8)
        },
      ),
      { numRuns: 100 },
    )
  })
})

describe('a cut', () => {
  const cut = (values: readonly number[], cost: Partial<PartitionCost> = {}) =>
    optimalPartition(Float64Array.from(values), { penalty: 5, minLength: 1, lossLimit: undefined, ...cost })

  test('of values that are all the same has no edge and their level, whatever edges cost', () => {
    expect(cut([3, 3, 3, 3], { penalty: 0 })).toEqual({ edges: [], levels: [3] })
    expect(cut([3], { lossLimit: 1 })).toEqual({ edges: [], levels: [3] })
  })

  test('has an edge where it is worth its cost: 4 x 1 of 2 x 2 values two apart', () => {
    // Without an edge the four values lose 4.
    expect(cut([0, 0, 2, 2], { penalty: 3.9 }).edges).toEqual([2])
    expect(cut([0, 0, 2, 2], { penalty: 4.1 }).edges).toEqual([])
  })

  test.each([2, -2, 1.5, -1.5])('finds a step of %d whose first value alone is not worth an edge', (step) => {
    // A step squared is less than an edge costs, and six values of it are more.
    const values = [0.2, -0.2, 0.1, -0.1, 0.2, -0.2].flatMap((noise) => [noise, -noise])
    const stepped = [...values, ...values.map((value) => value + step), ...values]
    expect(cut(stepped).edges).toEqual([12, 24])
  })

  test('has its first value of a level on the far side of it', () => {
    expect(cut([0, 0, 0, 0, 0, 0, 1.6, 2.4, 2, 2, 2, 2, 2]).edges).toEqual([6])
    expect(cut([0, 0, 0, 0, 0, 0, 3.2, 2.4, 2, 2, 2, 2, 2]).edges).toEqual([6])
    expect(cut([0, 0, 0, 0, 0, 0, 0.9, 2.4, 2, 2, 2, 2, 2]).edges).toEqual([7])
  })

  test('gives up a value that lies far off, once losses are bounded', () => {
    const values = [0, 0.1, 50, 0, -0.1, 9, 9.1, 8.9, 9]
    expect(cut(values).edges).toEqual([2, 3, 5])
    const bounded = cut(values, { lossLimit: 3 })
    expect(bounded.edges).toEqual([5])
    expect(bounded.levels![0]).toBeCloseTo(0, 10)
    expect(bounded.levels![1]).toBeCloseTo(9, 10)
  })

  test('of a long series with many levels has every edge', () => {
    const levels = [0, 6, 2, 9, 4, 11, 1, 7]
    const values = levels.flatMap((level, k) =>
      Array.from({ length: 20 + 7 * k }, (_, i) => level + 0.3 * Math.sin(7 * i * i)),
    )
    const edges = levels
      .slice(1)
      .map((_, k) => Array.from({ length: k + 1 }, (_, j) => 20 + 7 * j).reduce((a, b) => a + b, 0))
    for (const minLength of [1, 2, 9]) {
      expect(cut(values, { minLength }).edges).toEqual(edges)
      expect(cut(values, { minLength, lossLimit: 6 }).edges).toEqual(edges)
    }
  })
})
