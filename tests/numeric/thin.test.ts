import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { thin, thinnedFrom } from '../../src/numeric/thin.js'

describe('thin', () => {
  it('leaves short series as they are', () => {
    const values = Float64Array.of(3, 1, 2)
    expect(thin(values, 3)).toBe(values)
    expect([...thinnedFrom(3, 5, (i) => 2 * i)]).toEqual([0, 2, 4])
  })

  it('takes one value from each of equal blocks, in order', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 3000 }), fc.integer({ min: 1, max: 500 }), (length, most) => {
        fc.pre(length > most)
        const places = thin(
          Float64Array.from({ length }, (_, i) => i),
          most,
        )
        expect(places).toHaveLength(most)
        places.forEach((place, k) => {
          expect(place).toBeGreaterThanOrEqual(Math.floor((k * length) / most))
          expect(place).toBeLessThan(Math.ceil(((k + 1) * length) / most))
        })
      }),
    )
  })

  // Every tenth sample would see each phase of a period of ten always or never.
  it.each([5, 10, 20, 60, 100])('sees what comes back every %i samples in its true share', (period) => {
    const low = Math.max(1, Math.floor(period / 20))
    const values = Float64Array.from({ length: 100_000 }, (_, i) => (i % period < low ? 1 : 0))
    const share = thin(values, 10_000).reduce((sum, value) => sum + value, 0) / 10_000
    expect(Math.abs(share - low / period)).toBeLessThan(0.005)
  })

  it('has the median of the whole to what its own size leaves open', () => {
    const random = seededRandom(3)
    const values = Float64Array.from({ length: 200_000 }, () => random.normal())
    // Standard error of a median: 1.25 / sqrt(n).
    expect(Math.abs(quantile(thin(values, 20_000), 0.5) - quantile(values, 0.5))).toBeLessThan(
      3 * (1.25 / Math.sqrt(20_000)),
    )
  })
})
