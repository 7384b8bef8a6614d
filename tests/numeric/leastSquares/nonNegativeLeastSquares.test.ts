import { array, assert as assertProperty, integer, property, tuple } from 'fast-check'
import { expect, it } from 'vitest'
import { nonNegativeLeastSquares } from '../../../src/numeric/leastSquares/nonNegativeLeastSquares.js'

const number = integer({ min: -200, max: 200 }).map((hundredths) => hundredths / 100)
const problems = tuple(integer({ min: 1, max: 12 }), integer({ min: 1, max: 6 })).chain(([n, p]) =>
  tuple(
    array(array(number, { minLength: p, maxLength: p }), { minLength: n, maxLength: n }),
    array(number, { minLength: n, maxLength: n }),
  ),
)

it('the solution satisfies the Kuhn-Tucker conditions on random problems, wide, tall and dependent', () => {
  assertProperty(
    property(problems, ([design, values]) => {
      const fit = nonNegativeLeastSquares({ design, values })
      const size = Math.hypot(...values)
      for (const [j, parameter] of fit.parameters.entries()) {
        const column = design.map((row) => row[j]!)
        const slope = column.reduce((sum, value, i) => sum + value * fit.residuals[i]!, 0)
        const scale = 1e-9 * (Math.hypot(...column) * size + 1e-300)
        expect(parameter).toBeGreaterThanOrEqual(0)
        expect(slope).toBeLessThanOrEqual(scale)
        if (parameter > 0) expect(Math.abs(slope)).toBeLessThanOrEqual(scale)
      }
    }),
    { numRuns: 1000 },
  )
})

it('equals the least sum of squares over every choice of columns', () => {
  // Two columns: the optimum is inside, on one axis, or at 0; worked by hand.
  const design = [
    [1, 1],
    [0, 1],
  ]
  expect(nonNegativeLeastSquares({ design, values: [3, 1] }).parameters).toEqual([2, 1])
  const onAxis = nonNegativeLeastSquares({ design, values: [1, 3] })
  expect(onAxis.parameters[0]).toBe(0)
  expect(onAxis.parameters[1]).toBeCloseTo(2, 12)
  expect(onAxis.positive).toEqual([1])
  expect(onAxis.residuals).toEqual([expect.closeTo(-1, 12), expect.closeTo(1, 12)])
  expect(onAxis.residualSumOfSquares).toBeCloseTo(2, 12)
  expect(nonNegativeLeastSquares({ design, values: [-1, -2] }).parameters).toEqual([0, 0])
})

it('lets a column go again that was taken first, in any unit', () => {
  // The third column alone is nearest to the values; the two others together meet them.
  const design = [
    [1, 0, 2],
    [0, 1, 2],
    [0, 0, 1],
  ]
  for (const unit of [1, 1e9, 1e-9]) {
    const fit = nonNegativeLeastSquares({ design, values: [3 * unit, 3 * unit, -unit] })
    expect(fit.positive).toEqual([0, 1])
    expect(fit.parameters.map((value) => value / unit)).toEqual(
      [3, 3, 0].map((value) => expect.closeTo(value, 9)),
    )
  }
})

it.each([
  ['no rows', [], []],
  ['rows without a column', [[], []], [1, 2]],
  ['an uneven design', [[1], [1, 2]], [1, 2]],
  [
    'one missing number',
    [
      [1, 2],
      [3, Number.NaN],
    ],
    [1, 2],
  ],
  ['another number of values', [[1], [2]], [1]],
  ['one missing value', [[1], [2]], [1, Number.NaN]],
])('refuses %s', (_, design, values) => {
  expect(() => nonNegativeLeastSquares({ design, values })).toThrow(
    expect.objectContaining({
      code: 'design-unusable',
      message: expect.stringContaining(
        `got ${design.length} rows of ${design[0]?.length ?? 0} and ${values.length} values`,
      ),
    }),
  )
})
