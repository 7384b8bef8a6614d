import { describe, expect, it } from 'vitest'
import { leakageHeat, USUAL_WARMING } from '../../../src/physics/chip/leakageHeat.js'

describe('leakageHeat', () => {
  it('is 0 at the reference, about the kelvins near it, and more than them above', () => {
    expect(leakageHeat(78, 78)).toBe(0)
    expect(leakageHeat(79, 78)).toBeCloseTo(1, 1)
    expect(leakageHeat(98, 78)).toBeGreaterThan(20)
    expect(leakageHeat(58, 78)).toBeGreaterThan(-20)
  })

  it('doubles leakage in about 55 K', () => {
    // Leakage is 1 + growth x heat of what it was at the reference.
    expect(1 + 0.0125 * leakageHeat(78 + 55.45, 78)).toBeCloseTo(2, 3)
  })

  it('takes shares of warming that add up to 1', () => {
    expect(USUAL_WARMING.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12)
  })
})
