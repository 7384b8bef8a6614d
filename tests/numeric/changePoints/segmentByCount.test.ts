import { describe, expect, test } from 'vitest'
import { segmentByCount } from '../../../src/numeric/changePoints/segmentByCount.js'

describe('the best cuts into a given number of segments', () => {
  test('have the edges and sums of squares of their levels', () => {
    // 1 1 1 | 5 7 | 2 2: means 1, 6 and 2.
    const cuts = segmentByCount([1, 1, 1, 5, 7, 2, 2], { maxEdges: 3 })
    expect(cuts.map(({ edges }) => edges)).toEqual([[], [3], [3, 5], [3, 4, 5]])
    // About 19 / 7: 85 - 361 / 7. With one edge: 0 and 82 - 256 / 4.
    const squares = [85 - 361 / 7, 18, 2, 0]
    for (const [k, cut] of cuts.entries()) expect(cut.residualSumOfSquares).toBeCloseTo(squares[k]!, 10)
  })

  test('keep to the shortest segment that is asked for', () => {
    expect(segmentByCount([90, 0, 0, 0, 5, 5, 5], { maxEdges: 1 })[1]!.edges).toEqual([1])
    expect(segmentByCount([90, 0, 0, 0, 5, 5, 5], { maxEdges: 1, minLength: 2 })[1]!.edges).toEqual([2])
    expect(segmentByCount([0, 0, 0, 5, 5, 5, 90], { maxEdges: 1, minLength: 2 })[1]!.edges).toEqual([5])
    // 3 + 3 values fill it exactly.
    expect(segmentByCount([0, 0, 7, 7, 7, 7], { maxEdges: 1, minLength: 3 })[1]!.edges).toEqual([3])
  })

  test('keep their digits high above 0', () => {
    const [, cut] = segmentByCount([1e8, 1e8 + 1, 1e8 + 40, 1e8 + 41], { maxEdges: 1 })
    expect(cut!.edges).toEqual([2])
    expect(cut!.residualSumOfSquares).toBeCloseTo(1, 6)
  })

  test('of too few values, or of some that are no numbers, are refused', () => {
    expect(segmentByCount([1, 2, 3, 4], { maxEdges: 1, minLength: 2 })[1]!.edges).toEqual([2])
    for (const values of [
      [1, 2, 3],
      [1, 2, Number.NaN, 4],
      [1, 2, 3, Number.POSITIVE_INFINITY],
    ]) {
      expect(() => segmentByCount(values, { maxEdges: 1, minLength: 2 })).toThrow(
        expect.objectContaining({
          code: 'values-unusable',
          message: `expected 4 finite values or more for 1 edges with 2 values a segment, got ${values.length}`,
        }),
      )
    }
  })
})
