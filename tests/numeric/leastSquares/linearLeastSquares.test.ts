import { describe, expect, it } from 'vitest'
import { linearLeastSquares } from '../../../src/numeric/leastSquares/linearLeastSquares.js'

const ONES = [[1], [1], [1]]

describe('a linear fit', () => {
  it('of a constant is the weighted mean, with the weighted scatter over its degrees of freedom', () => {
    const fit = linearLeastSquares({ design: ONES, values: [1, 3, 8], weights: [4, 1, 1] })
    // (4 + 3 + 8) / 6, and 4 × 1.5² + 0.5² + 5.5².
    expect(fit.parameters[0]).toBeCloseTo(2.5, 14)
    expect(fit.residuals).toEqual([-1.5, 0.5, 5.5].map((r) => expect.closeTo(r, 13)))
    expect(fit.residualSumOfSquares).toBeCloseTo(39.5, 12)
    expect(fit.degreesOfFreedom).toBe(2)
    expect(fit.standardErrors![0]).toBeCloseTo(Math.sqrt(39.5 / 2 / 6), 13)
  })

  it('counts no value of weight 0, however far off', () => {
    const fit = linearLeastSquares({ design: [...ONES, [1]], values: [1, 3, 2, 1e6], weights: [1, 1, 1, 0] })
    expect(fit.parameters[0]).toBeCloseTo(2, 12)
    expect(fit.degreesOfFreedom).toBe(2)
    expect(fit.standardErrors![0]).toBeCloseTo(Math.sqrt(1 / 3), 12)
    expect(fit.residuals[3]).toBeCloseTo(1e6 - 2, 6)
  })

  it('has no standard errors without a degree of freedom', () => {
    const design = [
      [1, 0],
      [1, 1],
    ]
    const fit = linearLeastSquares({ design, values: [1, 3] })
    expect(fit).toMatchObject({ degreesOfFreedom: 0, rank: 2 })
    expect(fit.parameters[1]).toBeCloseTo(2, 13)
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.covariance).toBeUndefined()
    const weights = [1, 1, 0]
    expect(
      linearLeastSquares({ design: [...design, [1, 2]], values: [1, 3, 9], weights }).covariance,
    ).toBeUndefined()
  })

  it('shares evenly between columns that are the same, and knows no errors of theirs', () => {
    const design = [
      [1, 1, 0],
      [1, 1, 1],
      [1, 1, 2],
      [1, 1, 3],
    ]
    const fit = linearLeastSquares({ design, values: [1, 3, 5, 7] })
    expect(fit.rank).toBe(2)
    expect(fit.parameters).toEqual([0.5, 0.5, 2].map((value) => expect.closeTo(value, 12)))
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.residualSumOfSquares).toBeLessThan(1e-24)
  })

  it('gives a column of zeros nothing', () => {
    const fit = linearLeastSquares({ design: ONES.map(([one]) => [one!, 0]), values: [1, 2, 3] })
    expect(fit.rank).toBe(1)
    expect(fit.parameters).toEqual([expect.closeTo(2, 12), expect.closeTo(0, 12)])
  })

  it('tells columns apart that differ by a hundred millionth, also in small units, and none that rounding makes differ', () => {
    const nearly = (tiny: number, unit: number) =>
      linearLeastSquares({
        design: [0, 1, 2, 3, 4].map((x) => [unit, unit * (1 + tiny * x ** 2)]),
        values: [1, 2, 4, 3, 9],
      })
    for (const unit of [1, 1e-6, 1e9]) {
      expect(nearly(1e-8, unit).rank).toBe(2)
      expect(nearly(2e-17, unit).rank).toBe(1)
    }
  })
})

describe('what cannot be fitted', () => {
  const design = [
    [1, 0],
    [1, 1],
    [1, 2],
  ]
  it.each([
    ['no rows', { design: [], values: [] }],
    ['rows without a column', { design: [[], []], values: [1, 2] }],
    ['uneven rows', { design: [[1, 0], [1], [1, 2]], values: [1, 2, 3] }],
    [
      'rows with one missing number',
      {
        design: [
          [1, 0],
          [1, Number.NaN],
          [1, 2],
        ],
        values: [1, 2, 3],
      },
    ],
    ['fewer rows than columns', { design: [[1, 2]], values: [3] }],
    ['another number of values', { design, values: [1, 2] }],
    ['a missing value', { design, values: [1, Number.NaN, 3] }],
    ['another number of weights', { design, values: [1, 2, 3], weights: [1, 1] }],
    ['one weight below 0', { design, values: [1, 2, 3], weights: [1, -1, 1] }],
    ['an endless weight', { design, values: [1, 2, 3], weights: [1, Number.POSITIVE_INFINITY, 1] }],
  ])('is refused: %s', (_, problem) => {
    expect(() => linearLeastSquares(problem)).toThrow(
      expect.objectContaining({
        code: 'design-unusable',
        message: expect.stringContaining('expected n rows of p'),
      }),
    )
  })

  it('is told by its sizes', () => {
    expect(() => linearLeastSquares({ design, values: [1, 2], weights: [1] })).toThrow(
      'got 3 rows of 2, 2 values and 1 weights',
    )
    expect(() => linearLeastSquares({ design, values: [1] })).toThrow(/got 3 rows of 2, 1 values$/)
  })
})
