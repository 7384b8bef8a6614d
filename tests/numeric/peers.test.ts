import { quantileSeq, std, unit } from 'mathjs'
import { PolynomialRegression, SimpleLinearRegression } from 'ml-regression'
import { describe, expect, it } from 'vitest'
import { linearLeastSquares } from '../../src/numeric/leastSquares/linearLeastSquares.js'
import { standardDeviation } from '../../src/numeric/statistics/moments.js'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { parseQuantity } from '../../src/units.js'

// Packages of the registry that do the same work as a part of ours, by other code: mathjs 15 and ml-regression 6.

const random = seededRandom(20261125)
const x = Array.from({ length: 60 }, () => 40 + 60 * random.uniform())
const y = x.map((power) => 3 + 0.8 * power - 0.002 * power * power + 0.1 * random.normal())

describe('our arithmetic beside other packages', () => {
  it('fits the straight line that ml-regression fits', () => {
    const theirs = new SimpleLinearRegression(x, y)
    const ours = linearLeastSquares({ design: x.map((value) => [1, value]), values: y })
    expect(ours.parameters[0]).toBeCloseTo(theirs.intercept, 8)
    expect(ours.parameters[1]).toBeCloseTo(theirs.slope, 8)
  })

  it('fits the parabola that ml-regression fits', () => {
    const theirs = new PolynomialRegression(x, y, 2)
    const ours = linearLeastSquares({ design: x.map((value) => [1, value, value * value]), values: y })
    theirs.coefficients.forEach((coefficient, i) => {
      expect(ours.parameters[i]! / coefficient).toBeCloseTo(1, 6)
    })
  })

  it('finds the quantiles and the standard deviation that mathjs finds', () => {
    for (const probability of [0.05, 0.25, 0.5, 0.9]) {
      expect(quantile(y, probability)).toBeCloseTo(quantileSeq(y, probability) as number, 10)
    }
    expect(standardDeviation(y)).toBeCloseTo(Number(std(y)), 10)
  })

  it.each([
    ['1.2 kW', 'power', 'W'],
    ['500 mW', 'power', 'W'],
    ['4 min', 'time', 's'],
    ['250 ms', 'time', 's'],
    ['1.5 h', 'time', 's'],
    ['72 degF', 'temperature', 'degC'],
    ['300 K', 'temperature', 'degC'],
  ] as const)('reads %s as mathjs does', (text, dimension, si) => {
    expect(parseQuantity(text, dimension)).toBeCloseTo(unit(text).toNumber(si), 8)
  })
})
