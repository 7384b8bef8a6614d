import { expect, it } from 'vitest'
import { changePenalty } from '../../../src/numeric/changePoints/changePenalty.js'

// False-change rates of it, measured on noise: tests/study/change-point-power.md and findChangePoints.test.ts.

it('a penalty is (n - 1) g / (n - 2 + g) variances, g = 10 + ln n', () => {
  // n = e^2: g = 12.
  const n = Math.exp(2)
  expect(changePenalty(n, 3)).toBeCloseTo((3 * (n - 1) * 12) / (n + 10), 12)
  expect(changePenalty(100, 1)).toBeCloseTo((99 * 14.605170185988092) / 112.60517018598809, 12)
})

it('a penalty tends to g for long series, and is 10 + ln n for a single value', () => {
  expect(changePenalty(1e12, 1)).toBeCloseTo(10 + Math.log(1e12), 6)
  expect(changePenalty(1, 2)).toBe(20)
})
