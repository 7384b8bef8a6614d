import { describe, expect, it } from 'vitest'
import { ownError, widenedBy } from '../../../src/predict/projection/ownError.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const Z = 1.644854

describe('an estimate with a further error', () => {
  it('is wider by it in the logarithm, squares added', () => {
    const { value, low, high, level } = widenedBy({ value: 100, low: 80, high: 110, level: 0.9 }, 0.1)
    expect([value, level]).toEqual([100, 0.9])
    expect(Math.log(100 / low)).toBeCloseTo(Math.hypot(Math.log(100 / 80), Z * 0.1), 6)
    expect(Math.log(high / 100)).toBeCloseTo(Math.hypot(Math.log(1.1), Z * 0.1), 6)
  })

  it('stays as it is without one, or where it reaches zero', () => {
    const estimate = { value: 100, low: 80, high: 110, level: 0.9 }
    expect(widenedBy(estimate, 0)).toBe(estimate)
    expect(widenedBy({ ...estimate, low: 0 }, 0.1)).toEqual({ ...estimate, low: 0 })
  })
})

describe('what a model misses of its own machine', () => {
  // Held at 60 W, where every curve of the chip scores 100.
  const held = oneBudget({ burstW: about(60, 0.5), budgets: [] })
  const test = { chip: powerLawChip(), tested: held, loop: { runs: 10, gapS: 0 } }
  const measured = (value: number, error: number) => ({
    value,
    low: value * Math.exp(-Z * error),
    high: value * Math.exp(Z * error),
    level: 0.9,
  })

  it('is what scatter leaves of ln(modelled / measured)', () => {
    expect(ownError(test, measured(105, 0))).toBeCloseTo(Math.log(1.05), 3)
    expect(ownError(test, measured(95, 0))).toBeCloseTo(-Math.log(0.95), 3)
    expect(ownError(test, measured(105, 0.03))).toBeCloseTo(Math.sqrt(Math.log(1.05) ** 2 - 0.03 ** 2), 3)
    expect(ownError(test, measured(105, 0.06))).toBe(0)
  })

  it('counts the spread of the chip’s curves', () => {
    // At 90 W they score 100 × 1.5^0.45 to 1.5^0.55.
    const away = { ...test, tested: oneBudget({ burstW: about(90), sustainedW: about(90), budgets: [] }) }
    const middle = 100 * 1.5 ** 0.5
    const off = ownError(away, measured(middle * 1.06, 0))
    expect(off).toBeLessThan(Math.log(1.06) - 0.001)
    // Draws spread evenly by 0.05 in the exponent: 5 to 95 % are 0.045 either way.
    const own = (0.045 * Math.log(1.5)) / Z
    expect(off).toBeCloseTo(Math.sqrt(Math.log(1.06) ** 2 - own ** 2), 3)
  })
})
