import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { quantile, weightedQuantiles } from '../../../src/numeric/statistics/quantile.js'
import { evenDoubles } from '../../evenDoubles.js'

describe('quantiles of values', () => {
  it('lie between order statistics as Hyndman and Fan type 7 says', () => {
    // Example of R's quantile(c(15, 20, 35, 40, 50), c(.25, .4)), type 7, worked by hand.
    expect(quantile([40, 15, 50, 20, 35], 0.25)).toBe(20)
    expect(quantile([40, 15, 50, 20, 35], 0.4)).toBeCloseTo(29, 12)
  })

  it('with weights put a value of weight 2 where two equal values would be', () => {
    const [doubled] = weightedQuantiles([1, 5, 9], [1, 2, 1], [0.5])
    expect(doubled).toBe(5)
    expect(weightedQuantiles([3, 1, 2], [0, 1, 1], [1])[0]).toBe(2)
  })

  it('with equal weights are Hyndman and Fan type 5, whatever the order, and end at the outermost values', () => {
    // Type 5 by hand: position n p + 1/2 among 15, 20, 35, 40, 50.
    const shares = [0, 0.05, 0.25, 0.4, 0.5, 0.95, 1]
    const found = weightedQuantiles([40, 15, 50, 20, 35], [2, 2, 2, 2, 2], shares)
    ;[15, 15, 18.75, 27.5, 35, 50, 50].forEach((value, i) => {
      expect(found[i]).toBeCloseTo(value, 12)
    })
  })

  it('are those of the sorted values, ties and all, and leave the values as they were', () => {
    const values = fc.array(fc.integer({ min: -5, max: 5 }), { minLength: 1, maxLength: 30 })
    fc.assert(
      fc.property(values, evenDoubles(0, 1), (list, share) => {
        const before = [...list]
        const sorted = [...list].sort((a, b) => a - b)
        const position = (list.length - 1) * share
        const [below, above] = [sorted[Math.floor(position)]!, sorted[Math.ceil(position)]!]
        expect(quantile(list, share)).toBeCloseTo(below + (position % 1) * (above - below), 12)
        expect(list).toEqual(before)
      }),
    )
  })

  const refusal = (code: string, message: string) =>
    expect.objectContaining({ code, message: expect.stringContaining(message) })

  it('refuse an empty list', () => {
    const empty = refusal('values-empty', 'expected at least one value')
    expect(() => quantile([], 0.5)).toThrow(empty)
    expect(() => weightedQuantiles([], [], [0.5])).toThrow(empty)
  })

  it.each([-0.1, 1.2, Number.NaN])('refuse a share of %d', (share) => {
    const outside = refusal('share-out-of-range', `got ${share}`)
    expect(() => quantile([1], share)).toThrow(outside)
    expect(() => weightedQuantiles([1], [1], [0.5, share])).toThrow(outside)
  })

  it.each([
    [[0, 0], 'got 2 with sum 0'],
    [[1, -1], 'got 2'],
    [[3, -1], 'got 2'],
    [[-1, 3], 'got 2'],
    [[1, Number.POSITIVE_INFINITY], 'got 2'],
    [[1, Number.NaN], 'got 2'],
    [[1], 'got 1'],
    [[1, 1, 1], 'got 3'],
  ])('refuse the weights %j for two values', (weights, got) => {
    const unusable = refusal('weights-unusable', `expected 2 weights, none negative and not all 0, ${got}`)
    expect(() => weightedQuantiles([1, 2], weights, [0.5])).toThrow(unusable)
  })
})
