import { describe, expect, it } from 'vitest'
import { changePenalty } from '../../../src/numeric/changePoints/changePenalty.js'
import { findChangePoints } from '../../../src/numeric/changePoints/findChangePoints.js'
import { longRunVariance } from '../../../src/numeric/statistics/longRunVariance.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** Levels of some lengths, with noise of one deviation. */
function stepped(levels: readonly (readonly [level: number, count: number])[], seed = 3, deviation = 1) {
  const random = seededRandom(seed)
  return levels.flatMap(([level, count]) =>
    Array.from({ length: count }, () => level + deviation * random.normal()),
  )
}

describe('a series cut at a given penalty', () => {
  it('comes with its levels, what they leave, and the penalty', () => {
    expect(findChangePoints([1, 2, 1, 2, 8, 9, 8, 10], { penalty: 5 })).toEqual({
      edges: [4],
      levels: [1.5, 8.75],
      residualSumOfSquares: 4 * 0.5 ** 2 + 0.75 ** 2 + 0.25 ** 2 + 0.75 ** 2 + 1.25 ** 2,
      penalty: 5,
    })
    expect(findChangePoints([3, 5], { penalty: 100 })).toMatchObject({ levels: [4], residualSumOfSquares: 2 })
  })

  it('may have segments of one value, unless they have to be longer', () => {
    expect(findChangePoints([0, 0, 9, 0, 0], { penalty: 1 }).edges).toEqual([2, 3])
    expect(findChangePoints([0, 0, 9, 0, 0], { penalty: 20, minLength: 2 }).edges).toEqual([])
    expect(findChangePoints([0, 0, 9, 9, 0, 0], { penalty: 1, minLength: 2 }).edges).toEqual([2, 4])
    expect(findChangePoints([0, 1], { penalty: 0 }).edges).toEqual([1])
  })

  it('under the biweight loss keeps outliers out of edges and levels', () => {
    const values = stepped([
      [0, 60],
      [20, 60],
    ])
    const clean = findChangePoints(values, { penalty: 40, loss: 'biweight' })
    const struck = values.map((value, i) => (i === 20 || i === 90 ? 500 : value))
    const robust = findChangePoints(struck, { penalty: 40, loss: 'biweight' })
    expect(robust.edges).toEqual([60])
    robust.levels.forEach((level, k) => {
      expect(Math.abs(level - clean.levels[k]!)).toBeLessThan(0.1)
    })
    const plain = findChangePoints(struck, { penalty: 40 })
    expect(plain.edges).toEqual([20, 21, 60, 90, 91])
    expect(findChangePoints(struck, { penalty: 40, loss: 'squared' })).toEqual(plain)
  })
})

describe('a series cut by its own noise', () => {
  const course = [
    [0, 150],
    [6, 150],
    [2, 150],
    [9, 150],
  ] as const

  it('pays for an edge by the noise about the segments, not about the whole', () => {
    for (const loss of ['squared', 'biweight'] as const) {
      const values = Float64Array.from(stepped(course))
      const found = findChangePoints(values, { loss })
      expect(found.edges).toHaveLength(3)
      found.edges.forEach((edge, k) => {
        expect(Math.abs(edge - 150 * (k + 1))).toBeLessThanOrEqual(2)
      })
      const noise = longRunVariance(values, loss === 'biweight', found)
      // The last round lowers the noise by less than 7 %, or not at all.
      const least = changePenalty(600, noise.variance)
      expect(found.penalty).toBeGreaterThanOrEqual(0.999 * least)
      expect(found.penalty).toBeLessThanOrEqual(least / 0.93)
    }
  })

  it('keeps its shortest length', () => {
    const values = stepped([
      [0, 60],
      [12, 3],
      [0, 60],
      [12, 60],
    ])
    expect(findChangePoints(values).edges).toHaveLength(3)
    expect(findChangePoints(values, { minLength: 10 }).edges).toEqual([123])
  })

  it('is cut alike whatever its unit and level', () => {
    const values = stepped(course)
    const { edges, penalty } = findChangePoints(values)
    const moved = findChangePoints(values.map((value) => 50 + 4 * value))
    expect(moved.edges).toEqual(edges)
    expect(moved.penalty / penalty).toBeCloseTo(16, 6)
  })

  it('is not written to', () => {
    const values = Float64Array.from(stepped(course))
    const copy = values.slice()
    findChangePoints(values, { loss: 'biweight' })
    expect(values).toEqual(copy)
  })
})

describe('what is no series, penalty or length', () => {
  it.each([
    [() => findChangePoints([]), 'values-unusable', /got none\./],
    [
      () => findChangePoints([1, 2, Number.POSITIVE_INFINITY, Number.NaN]),
      'values-unusable',
      /got Infinity at index 2\./,
    ],
    [
      () => findChangePoints([Number.NaN, 1, Number.POSITIVE_INFINITY]),
      'values-unusable',
      /got NaN at index 0\./,
    ],
    [() => findChangePoints([1, 2], { penalty: -1 }), 'penalty-unusable', /0 or more, got -1/],
    [() => findChangePoints([1, 2], { penalty: Number.NaN }), 'penalty-unusable', /got NaN/],
    [
      () => findChangePoints([1, 2], { penalty: Number.POSITIVE_INFINITY }),
      'penalty-unusable',
      /got Infinity/,
    ],
    [() => findChangePoints([1, 2], { minLength: 0 }), 'min-length-unusable', /1, 2, 3, ..., got 0/],
    [() => findChangePoints([1, 2], { minLength: 1.5 }), 'min-length-unusable', /got 1.5/],
  ])('is refused: %#', (call, code, message) => {
    expect(call).toThrow(expect.objectContaining({ code, message: expect.stringMatching(message) }))
  })
})
