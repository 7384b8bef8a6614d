import { describe, expect, test } from 'vitest'
import { courseElasticity, courseLogRate } from '../../../src/physics/chip/elasticityCourse.js'

const KNOTS = { knotsLn: [-1, 0, 0.5], elasticities: [1.2, 0.6, 0.2] }

describe('an elasticity that is given at some powers', () => {
  test('is what is given at each, and straight between them', () => {
    expect([-1, 0, 0.5].map((t) => courseElasticity(KNOTS, t))).toEqual([1.2, 0.6, 0.2])
    expect(courseElasticity(KNOTS, -0.75)).toBeCloseTo(1.05, 12)
    expect(courseElasticity(KNOTS, 0.1)).toBeCloseTo(0.52, 12)
  })

  test('stays as it is beyond the ends', () => {
    expect([-9, 9].map((t) => courseElasticity(KNOTS, t))).toEqual([1.2, 0.2])
  })
})

describe('ln rate', () => {
  test('is the area under the elasticity from the first knot on', () => {
    // Trapezia: (1.2 + 1.05) / 2 × 0.25; (1.2 + 0.6) / 2; and 0.1 × (0.6 + 0.52) / 2; and (0.6 + 0.2) / 4.
    const areas = [-1, -0.75, 0, 0.1, 0.5, 1.5].map((t) => courseLogRate(KNOTS, t))
    const right = [0, 0.28125, 0.9, 0.956, 1.1, 1.3]
    for (const [i, area] of areas.entries()) expect(area).toBeCloseTo(right[i]!, 12)
  })

  test('falls below the first knot with the elasticity there', () => {
    expect(courseLogRate(KNOTS, -3)).toBeCloseTo(-2.4, 12)
  })

  test('goes on through knots at one power, where the elasticity jumps', () => {
    const jump = { knotsLn: [-1, 0, 0, 0, 0.5], elasticities: [1.2, 0.8, 0.7, 0.6, 0.2] }
    const areas = [-1, 0, 0.5, 1].map((t) => courseLogRate(jump, t))
    for (const [i, area] of [0, 1, 1.2, 1.3].entries()) expect(areas[i]).toBeCloseTo(area, 12)
    expect([-1e-9, 0, 0.25].map((t) => courseElasticity(jump, t))).toEqual([
      expect.closeTo(0.8, 6),
      0.6,
      expect.closeTo(0.4, 12),
    ])
  })
})
