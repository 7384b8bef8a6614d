import { expect, it } from 'vitest'
import { logGamma } from '../../../src/numeric/statistics/logGamma.js'

it('is the logarithm of factorials, and of sqrt(pi) at a half (DLMF 5.4.1, 5.4.6)', () => {
  let factorial = 1
  for (let n = 1; n <= 25; n++) {
    expect(logGamma(n)).toBeCloseTo(Math.log(factorial), 12)
    factorial *= n
  }
  expect(logGamma(0.5)).toBeCloseTo(0.5 * Math.log(Math.PI), 13)
  // Gamma(x + 1) = x Gamma(x), also across the place where the series takes over.
  for (const x of [0.03, 1.7, 11.2, 11.999, 12, 37.5])
    expect(logGamma(x + 1) - logGamma(x)).toBeCloseTo(Math.log(x), 12)
  // 100!: DLMF 5.11.1 to all terms, from a published table of factorials (9.33262154439441e157).
  expect(logGamma(101)).toBeCloseTo(Math.log(9.33262154439441e157), 11)
})
