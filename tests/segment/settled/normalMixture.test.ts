import { describe, expect, it } from 'vitest'
import { normalMixtureQuantiles } from '../../../src/segment/settled/normalMixture.js'

describe('quantiles of a mixture of normal distributions', () => {
  it('are those of the normal distribution for one component (published tables)', () => {
    const [low, middle, high, far] = normalMixtureQuantiles(
      [{ mean: 50, deviation: 2, weight: 1 }],
      [0.05, 0.5, 0.95, 0.999],
    )
    expect(low).toBeCloseTo(50 - 2 * 1.644854, 5)
    expect(middle).toBeCloseTo(50, 5)
    expect(high).toBeCloseTo(50 + 2 * 1.644854, 5)
    expect(far).toBeCloseTo(50 + 2 * 3.090232, 3)
  })

  it('lie where the parts’ shares add up', () => {
    // Far apart, the lower holds 0.3 of all: 0.06 of all is 0.2 of it (z = -0.841621), 0.65 of all the upper one's middle.
    const parts = [
      { mean: 100, deviation: 3, weight: 0.7 },
      { mean: 10, deviation: 1, weight: 0.3 },
    ]
    const [low, high] = normalMixtureQuantiles(parts, [0.06, 0.65])
    expect(low).toBeCloseTo(10 - 0.841621, 4)
    expect(high).toBeCloseTo(100, 4)
  })

  it('pass over parts without weight, and find one without width', () => {
    const parts = [
      { mean: 1e9, deviation: 1, weight: 0 },
      { mean: 40, deviation: 0, weight: 1 },
    ]
    expect(normalMixtureQuantiles(parts, [0.5])[0]).toBeCloseTo(40, 9)
  })
})
