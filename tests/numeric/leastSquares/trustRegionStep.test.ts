import { array, assert, double, property, tuple } from 'fast-check'
import { describe, expect, it } from 'vitest'
import { linearModel } from '../../../src/numeric/leastSquares/trustRegionStep.js'
import { scaledLength } from '../../../src/numeric/leastSquares/variableScales.js'
import { evenDoubles } from '../../evenDoubles.js'

const of = (...values: number[]) => Float64Array.from(values)
const modelOf = (upper: number[][], projected: number[], scales: number[], rankTolerance = 1e-12) =>
  linearModel({
    triangle: { upper: upper.map((row) => of(...row)), projected: of(...projected) },
    scales: of(...scales),
    rankTolerance,
  })

/** R s + Qᵀ r is least at s = -(2, 3). */
const plain = () =>
  modelOf(
    [
      [2, 0],
      [0, 1],
    ],
    [4, 3],
    [1, 1],
  )

describe('a linear model of residuals', () => {
  it('goes all the way in the full step, whatever its scales', () => {
    expect([...plain().fullStep]).toEqual([-2, -3])
    const scaled = modelOf(
      [
        [2, 0],
        [0, 1],
      ],
      [4, 3],
      [4, 0.5],
    )
    expect([...scaled.fullStep]).toEqual([-2, -3])
    const slanted = modelOf(
      [
        [2, 1],
        [0, 1],
      ],
      [4, 3],
      [1, 1],
    )
    expect(slanted.fullStep[0]).toBeCloseTo(-0.5, 13)
    expect(slanted.fullStep[1]).toBeCloseTo(-3, 13)
  })

  it('says how much its weakest direction weighs beside its strongest, in scaled variables', () => {
    expect(plain()).toMatchObject({ rank: 2, condition: 0.5 })
    expect(
      modelOf(
        [
          [2, 0],
          [0, 1],
        ],
        [4, 3],
        [1, 4],
      ),
    ).toMatchObject({ rank: 2, condition: 0.125 })
  })

  it('foretells the fall of the sum of squares, -(2 r·Js + |Js|²)', () => {
    // From 16 + 9 to 0, and to (4 - 2)² + (3 + 1)².
    expect(plain().predictedFall(of(-2, -3))).toBe(25)
    expect(plain().predictedFall(of(-1, 1))).toBe(5)
    expect(
      modelOf(
        [
          [2, 1],
          [0, 1],
        ],
        [4, 3],
        [1, 1],
      ).predictedFall(of(-1, -1)),
    ).toBe(25 - 1 - 4)
  })

  it('has the inverse of its normal matrix, by parameters and not by scales', () => {
    // RᵀR = [[4, 2], [2, 2]].
    for (const scales of [
      [1, 1],
      [3, 0.25],
    ]) {
      const model = modelOf(
        [
          [2, 1],
          [0, 1],
        ],
        [4, 3],
        scales,
      )
      const expected = [
        [0.5, -0.5],
        [-0.5, 1],
      ]
      for (const [i, row] of model.inverseNormal()!.entries()) {
        for (const [j, value] of row.entries()) expect(value).toBeCloseTo(expected[i]![j]!, 12)
        expect(model.variances()![i]).toBeCloseTo(expected[i]![i]!, 12)
      }
    }
  })

  it('takes the shortest scaled step where two parameters do the same, and knows no variance', () => {
    // s1 + s2 = -2: the middle, or by Lagrange s1 = 4 s2 where the second weighs twice as much.
    const even = modelOf(
      [
        [1, 1],
        [0, 0],
      ],
      [2, 0],
      [1, 1],
    )
    expect(even.rank).toBe(1)
    for (const value of even.fullStep) expect(value).toBeCloseTo(-1, 13)
    const uneven = modelOf(
      [
        [1, 1],
        [0, 0],
      ],
      [2, 0],
      [1, 2],
    )
    expect(uneven.fullStep[0]).toBeCloseTo(-1.6, 13)
    expect(uneven.fullStep[1]).toBeCloseTo(-0.4, 13)
    expect(even.inverseNormal()).toBeUndefined()
    expect(even.variances()).toBeUndefined()
  })

  it('counts a direction as weak up to the share that is given, and still takes it along in a short step', () => {
    const weak = (rankTolerance: number) =>
      modelOf(
        [
          [4, 0],
          [0, 0.5],
        ],
        [4, 4],
        [1, 1],
        rankTolerance,
      )
    expect([...weak(0.125).fullStep]).toEqual([-1, 0])
    expect(weak(0.125).rank).toBe(1)
    expect([...weak(0.12).fullStep]).toEqual([-1, -8])
    const short = weak(0.125).stepWithin(0.5)
    expect(short[1]).toBeLessThan(-0.05)
    expect(weak(0.125).stepWithin(1)).toEqual(weak(0.125).fullStep)
  })

  it('without a variable that may move has no step and no fall', () => {
    const empty = modelOf([], [], [])
    expect(empty).toMatchObject({ rank: 0, condition: 1, fullStep: of() })
    expect(empty.stepWithin(1)).toEqual(of())
    expect(empty.predictedFall(of())).toBe(0)
    expect(empty.inverseNormal()).toEqual([])
    expect(empty.variances()).toEqual(of())
  })
})

describe('a step within a radius', () => {
  it('is the full step where that is short enough', () => {
    expect(plain().stepWithin(4)).toEqual(plain().fullStep)
    expect(plain().stepWithin(Math.sqrt(13))).toEqual(plain().fullStep)
  })

  const entry = evenDoubles(-3, 3)
  const size = double({ min: -4, max: 4, noNaN: true }).map(Math.exp)
  const models = tuple(
    array(entry, { minLength: 9, maxLength: 9 }),
    array(size, { minLength: 6, maxLength: 6 }),
  )

  it('is as long as the radius, and pulled back by the same damping in each scaled direction: Moré 1978, 2.3', () => {
    assert(
      property(models, evenDoubles(-9, -0.01), ([e, w], share) => {
        const upper = [
          [w[3]!, e[0]!, e[1]!],
          [0, w[4]!, e[2]!],
          [0, 0, w[5]!],
        ]
        const scales = w.slice(0, 3)
        const model = modelOf(upper, e.slice(3, 6), scales)
        const radius = Math.exp(share) * scaledLength(model.fullStep, of(...scales))
        const step = model.stepWithin(radius)
        expect(Math.abs(scaledLength(step, of(...scales)) / radius - 1)).toBeLessThan(1.01e-3)
        // -Jᵀ(r + J s) = damping D² s.
        const left = upper.map(
          (row, i) => e[3 + i]! + row.reduce((sum, value, j) => sum + value * step[j]!, 0),
        )
        const pull = scales.map((_, j) => -upper.reduce((sum, row, i) => sum + row[j]! * left[i]!, 0))
        const held = scales.map((scale, j) => scale ** 2 * step[j]!)
        const square = held.reduce((sum, value) => sum + value * value, 0)
        const damping = held.reduce((sum, value, j) => sum + value * pull[j]!, 0) / square
        const size =
          Math.hypot(...pull.map((_, j) => Math.hypot(...upper.map((row) => row[j]!)))) *
          Math.hypot(...e.slice(3, 6))
        expect(damping).toBeGreaterThan(0)
        for (const [j, value] of pull.entries())
          expect(Math.abs(value - damping * held[j]!)).toBeLessThan(1e-9 * size)
      }),
      { numRuns: 300 },
    )
  })
})
