import { describe, expect, it } from 'vitest'
import { linearization } from '../../../src/numeric/leastSquares/linearization.js'
import type { Problem } from '../../../src/numeric/leastSquares/residualPoint.js'

const of = (...values: number[]) => Float64Array.from(values)
/** Four residuals, of which two move with a parameter each: JᵀJ is diag(4, 16). */
const COLUMNS = [of(2, 0, 0, 0), of(0, 4, 0, 0)]
const view = (
  parameters: number[],
  { columns = COLUMNS, lower = [-99, -99], residuals = [1, 2, 3, 4] } = {},
) => {
  const values = of(...residuals)
  const point = {
    parameters: of(...parameters),
    residuals: values,
    sumOfSquares: values.reduce((sum, r) => sum + r * r, 0),
  }
  const problem = { lower: of(...lower), upper: of(99, 99), rankTolerance: 1e-12 } as unknown as Problem
  return linearization(problem, point, {
    columns,
    strategy: { scaling: 'largest', firstRadius: 1 },
    scales: undefined,
  })
}
/** Standard errors: s² = 30 / (4 - 2), over 4 and 16. */
const ERRORS = [Math.sqrt(15 / 4), Math.sqrt(15 / 16)] as const

describe('a view from a point', () => {
  it('weighs parameters by the lengths of their columns, and those that may move by their number', () => {
    const { scales, free, triangle, columns } = view([1, 1])
    expect([...scales]).toEqual([2, 4])
    expect(free).toEqual([0, 1])
    expect(columns).toBe(COLUMNS)
    expect(triangle.upper.map((row, i) => Math.abs(row[i]!))).toEqual([2, 4])
  })

  it('leaves out a parameter that its bound holds, with its scale', () => {
    const { free, model, scales } = view([1, 1], { lower: [1, -99] })
    expect(free).toEqual([1])
    expect([...model.fullStep]).toEqual([-0.5])
    expect([...scales]).toEqual([2, 4])
    // Its own scale: half a unit of the second weighs 2.
    expect(model.stepWithin(2.0001)[0]).toBe(-0.5)
    expect(model.stepWithin(1.9)[0]).toBeCloseTo(-0.475, 3)
  })

  it('says how far it is to go: beside the parameter or its standard error, the larger, and in standard errors', () => {
    // Both full steps are -0.5.
    const far = view([0.5, 10])
    expect(far.remaining).toBeCloseTo(0.5 / ERRORS[0], 12)
    expect(far.remainingErrors).toBeCloseTo(0.5 / ERRORS[1], 12)
    expect(far.spread).toBeCloseTo(ERRORS[0] / 0.5, 12)
    const near = view([-5, -0.25])
    expect(near.remaining).toBeCloseTo(0.5 / ERRORS[1], 12)
    expect(near.spread).toBeCloseTo(ERRORS[1] / 0.25, 12)
    const known = view([-1.95, -20])
    expect(known.remaining).toBeCloseTo(0.5 / 1.95, 12)
  })

  it('has nothing to go where a parameter is 0 and known exactly', () => {
    expect(view([0, 5], { residuals: [0, 0, 0, 0] }).remaining).toBe(0)
  })

  it('knows nothing of it where two parameters do the same', () => {
    const unknown = Number.POSITIVE_INFINITY
    expect(view([1, 1], { columns: [COLUMNS[0]!, COLUMNS[0]!] })).toMatchObject({
      remaining: unknown,
      remainingErrors: unknown,
      spread: unknown,
    })
  })

  it('divides by one degree of freedom where there is none', () => {
    const columns = [of(2, 0), of(0, 4)]
    const { remainingErrors } = view([1, 1], { columns, residuals: [1, 2] })
    expect(remainingErrors).toBeCloseTo(0.5 / Math.sqrt(5 / 16), 12)
  })
})
