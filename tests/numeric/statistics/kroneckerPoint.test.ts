import { describe, expect, it } from 'vitest'
import { kroneckerPoint, kroneckerPoints } from '../../../src/numeric/statistics/kroneckerPoint.js'

describe('kroneckerPoint', () => {
  it('steps by the golden ratio in one dimension', () => {
    const golden = (Math.sqrt(5) - 1) / 2
    expect(kroneckerPoint(0, 1)[0]).toBeCloseTo((0.5 + golden) % 1, 12)
    expect(kroneckerPoint(9, 1)[0]).toBeCloseTo((0.5 + 10 * golden) % 1, 12)
  })

  it('fills the unit cube far more evenly than random numbers would', () => {
    const points = kroneckerPoints(1000, 3)
    for (let j = 0; j < 3; j++) {
      const mean = points.reduce((sum, point) => sum + point[j]!, 0) / points.length
      // Random points: 0.289 / sqrt(1000) = 0.009.
      expect(Math.abs(mean - 0.5)).toBeLessThan(0.003)
    }
    const inCorner = points.filter((point) => point.every((x) => x < 0.5)).length
    expect(Math.abs(inCorner - 125)).toBeLessThan(8)
  })

  it('gives the same point alone and in a row', () => {
    expect(kroneckerPoints(8, 4)[7]).toEqual(kroneckerPoint(7, 4))
  })
})
