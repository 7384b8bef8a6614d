import { expect, it } from 'vitest'
import { compensatedDifference } from '../../src/numeric/compensatedSum.js'
import { crossProducts, triangleFromProducts } from '../../src/numeric/crossProducts.js'
import { estimateFromDraws, estimateFromStandardError } from '../../src/numeric/estimate.js'
import { findChangePoints } from '../../src/numeric/findChangePoints.js'
import { fitLeastSquares } from '../../src/numeric/fitLeastSquares.js'
import { triangularise } from '../../src/numeric/householder.js'
import { jacobiSvd } from '../../src/numeric/jacobiSvd.js'
import { linearLeastSquares } from '../../src/numeric/linearLeastSquares.js'
import { logGamma } from '../../src/numeric/logGamma.js'
import { autocorrelation, mean, standardDeviation } from '../../src/numeric/moments.js'
import { nonNegativeLeastSquares } from '../../src/numeric/nonNegativeLeastSquares.js'
import { normalQuantile } from '../../src/numeric/normalQuantile.js'
import { profileInterval } from '../../src/numeric/profileInterval.js'
import { quantile, weightedQuantiles } from '../../src/numeric/quantile.js'
import { segmentByCount } from '../../src/numeric/segmentByCount.js'
import { segmentMeans } from '../../src/numeric/segmentMeans.js'
import { studentTProbability, studentTQuantile } from '../../src/numeric/studentT.js'

it('the examples in the docstrings of the numeric room give what they say', () => {
  expect(compensatedDifference(0.1, [0.1], [1])).toBe(0)
  expect(estimateFromDraws({ values: [1, 2, 3], level: 0.5 })).toEqual({
    value: 2,
    low: 1.5,
    high: 2.5,
    level: 0.5,
  })
  const student = estimateFromStandardError({ value: 40, standardError: 1, degreesOfFreedom: 9 })
  expect([student.low.toFixed(2), student.high.toFixed(2)]).toEqual(['38.17', '41.83'])
  expect(findChangePoints([1, 2, 1, 2, 8, 9, 8, 9], { penalty: 5 }).edges).toEqual([4])
  expect(Math.abs(triangularise([Float64Array.of(3, 4)], Float64Array.of(3, 4)).upper[0]![0]!)).toBeCloseTo(
    5,
    14,
  )
  const products = crossProducts([Float64Array.of(3, 4)], Float64Array.of(3, 4))
  expect(triangleFromProducts(products, [0])!.upper[0]![0]).toBe(5)
  expect(Array.from(jacobiSvd([Float64Array.of(3, 0), Float64Array.of(0, 2)]).values)).toEqual([3, 2])
  const line = linearLeastSquares({
    design: [
      [1, 0],
      [1, 1],
      [1, 2],
    ],
    values: [1, 3, 5],
  })
  expect(line.parameters[0]).toBeCloseTo(1, 14)
  expect(line.parameters[1]).toBeCloseTo(2, 14)
  expect(logGamma(5)).toBeCloseTo(Math.log(24), 14)
  expect(autocorrelation([1, -1, 1, -1], 1)).toBe(-0.75)
  expect(mean([1, 2, 6])).toBe(3)
  expect(standardDeviation([1, 2, 3])).toBe(1)
  expect(
    nonNegativeLeastSquares({
      design: [
        [1, 0],
        [0, 1],
      ],
      values: [2, -1],
    }).parameters,
  ).toEqual([2, 0])
  expect(normalQuantile(0.95)).toBeCloseTo(1.6448536269514722, 14)
  expect(quantile([1, 2, 3, 4], 0.5)).toBe(2.5)
  expect(weightedQuantiles([10, 20], [1, 3], [0.5])[0]).toBe(17.5)
  expect(segmentByCount([1, 1, 5, 5], { maxEdges: 1 })[1]!.edges).toEqual([2])
  expect(segmentMeans(Float64Array.of(1, 3, 8), [2])).toEqual([2, 8])
  expect(studentTQuantile(0.95, 9)).toBeCloseTo(1.833112932656237, 12)
  expect(studentTProbability(1.833112932656237, 9)).toBeCloseTo(0.95, 12)
})

it('the examples of the nonlinear fits give what they say', () => {
  const x = [1, 2, 3, 4]
  const y = [2.7, 1.5, 0.8, 0.5]
  const decay = fitLeastSquares({
    residuals: ([a, tau]) => x.map((value, i) => y[i]! - a! * Math.exp(-value / tau!)),
    start: [1, 1],
  })
  expect(decay.converged).toBe(true)
  expect(decay.parameters[0]).toBeCloseTo(4.9, 1)
  expect(decay.parameters[1]).toBeCloseTo(1.7, 2)
  const problem = { residuals: ([a]: readonly number[]) => [1, 2, 3].map((value) => value - a!), start: [0] }
  const interval = profileInterval({ problem, fit: fitLeastSquares(problem), parameter: 0 })!
  expect([interval.value, interval.low, interval.high].map((value) => value.toFixed(2))).toEqual([
    '2.00',
    '0.31',
    '3.69',
  ])
})
