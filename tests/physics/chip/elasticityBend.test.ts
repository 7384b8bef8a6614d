import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bendElasticity, bendLogRate, type ElasticityBend } from '../../../src/physics/chip/elasticityBend.js'
import { evenDoubles } from '../../evenDoubles.js'

const bend: ElasticityBend = { tilt: 0.1, stepLn: 0.5, above: [0.2, -0.4], below: [0.3, 0.6] }

describe('the change of ln rate', () => {
  it.each([
    [0, 0],
    // tilt + above[0] up to the first step, then above[1] as well, and nothing new after the last.
    [0.25, 0.25 * 0.3],
    [0.5, 0.5 * 0.3],
    [1, 1 * 0.3 - 0.5 * 0.4],
    [3, 3 * 0.3 - 2.5 * 0.4],
    [-0.25, -0.25 * 0.4],
    [-1, -(1 * 0.4 + 0.5 * 0.6)],
    [-3, -(3 * 0.4 + 2.5 * 0.6)],
  ])('is a broken line through 0: at t = %f it is %f', (t, expected) => {
    expect(bendLogRate(bend, t)).toBeCloseTo(expected, 12)
  })
})

describe('the change of elasticity', () => {
  it.each([
    [0.25, 0.3],
    [0.75, -0.1],
    [3, -0.1],
    [-0.25, 0.4],
    [-0.75, 1],
    [-3, 1],
    // On a step, the side towards the reference counts; at the reference, neither.
    [0.5, 0.3],
    [-0.5, 0.4],
    [0, 0.1],
  ])('is a staircase: at t = %f it is %f', (t, expected) => {
    expect(bendElasticity(bend, t)).toBeCloseTo(expected, 12)
  })

  it('is the slope of the change of ln rate between the steps', () => {
    const steps = fc.array(evenDoubles(-1, 1), { maxLength: 4 })
    const bends = fc.record({
      tilt: evenDoubles(-1, 1),
      stepLn: fc.double({ min: 0.1, max: 1, noNaN: true }),
      above: steps,
      below: steps,
    })
    fc.assert(
      fc.property(
        bends,
        fc.integer({ min: -6, max: 5 }),
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        (drawn, k, share) => {
          const at = (part: number) => bendLogRate(drawn, (k + part) * drawn.stepLn)
          const slope = (at(share + 0.05) - at(share - 0.05)) / (0.1 * drawn.stepLn)
          expect(bendElasticity(drawn, (k + share) * drawn.stepLn)).toBeCloseTo(slope, 8)
        },
      ),
    )
  })
})
