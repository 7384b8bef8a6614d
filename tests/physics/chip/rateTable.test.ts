import fc from 'fast-check'
import { expect, test } from 'vitest'
import { rateTable } from '../../../src/physics/chip/rateTable.js'
import { elasticityAt, rateAt, type ScoreCurve } from '../../../src/physics/chip/scoreCurve.js'

test('a table misses a smooth curve by two millionths times the squared elasticity, at any power and asked in any order', () => {
  const curve: ScoreCurve = {
    shape: 'offset-power-law',
    scale: 9000,
    referenceW: 45,
    fixedW: 6,
    exponent: 0.55,
    topW: null,
    bend: null,
  }
  const rate = rateTable(curve)
  fc.assert(
    fc.property(fc.double({ min: 7, max: 400, noNaN: true }), (powerW) => {
      const elasticity = elasticityAt(curve, powerW)!
      const missed = Math.abs(rate(powerW) / rateAt(curve, powerW) - 1)
      expect(missed).toBeLessThan(2e-6 * Math.max(1, elasticity ** 2))
    }),
  )
})

test('beside a kink the table is off by less than a thousandth, and outside of it there is none', () => {
  const curve: ScoreCurve = {
    shape: 'log-quadratic',
    scale: 100,
    referenceW: 40,
    slope: 0.6,
    curvature: -0.05,
    topW: 61.237,
    bend: null,
  }
  const rate = rateTable(curve)
  for (let powerW = 60; powerW < 62; powerW += 0.01) {
    expect(Math.abs(rate(powerW) / rateAt(curve, powerW) - 1)).toBeLessThan(1e-3)
  }
  for (const powerW of [0, -1, 1e-3, 5e4]) expect(rate(powerW)).toBe(rateAt(curve, powerW))
})
