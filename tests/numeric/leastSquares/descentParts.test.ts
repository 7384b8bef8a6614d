import { describe, expect, it } from 'vitest'
import { freeParameters, freeStep, landing } from '../../../src/numeric/leastSquares/activeBounds.js'
import { checkJacobian } from '../../../src/numeric/leastSquares/checkJacobian.js'
import { givenDerivatives } from '../../../src/numeric/leastSquares/givenDerivatives.js'
import {
  foreseenPoint,
  type Problem,
  pointAt,
  reduction,
} from '../../../src/numeric/leastSquares/residualPoint.js'
import { scaledLength, scalesFor } from '../../../src/numeric/leastSquares/variableScales.js'

const of = (...values: number[]) => Float64Array.from(values)
/** Residuals p², p q and q - 3. */
const evaluate = ([p, q]: Float64Array) => of(p! ** 2, p! * q!, q! - 3)
const problem = (lower = [-9, -9], upper = [9, 9]) =>
  ({ evaluate, lower: of(...lower), upper: of(...upper) }) as unknown as Problem
const start = pointAt(problem(), of(2, 5))
/** Their derivatives at (2, 5), a column a parameter. */
const COLUMNS = [of(4, 5, 0), of(0, 2, 1)]

describe('a point of a descent', () => {
  it('has its residuals and their squares, and the fall from one to another', () => {
    expect([...start.residuals]).toEqual([4, 10, 2])
    expect(start.sumOfSquares).toBe(120)
    const other = pointAt(problem(), of(1, 4))
    expect(reduction(start, other)).toBe(120 - (1 + 16 + 1))
    expect(reduction(other, start)).toBe(-102)
  })

  it('is foreseen by its derivatives', () => {
    const near = foreseenPoint(start, COLUMNS, of(2.5, 4))
    expect([...near.residuals]).toEqual([4 + 2, 10 + 2.5 - 2, 2 - 1])
    expect(near.sumOfSquares).toBe(36 + 10.5 ** 2 + 1)
    expect([...start.residuals]).toEqual([4, 10, 2])
  })
})

describe('a step within bounds', () => {
  const fall = (predictedFall: (step: Float64Array) => number) =>
    ({ free: [0, 1], model: { predictedFall } }) as unknown as Parameters<typeof landing>[2]
  const lands = (upper: number[], step: number[], view = fall(() => 0)) => [
    ...landing(problem([-9, -9], upper), start, view, of(...step)),
  ]

  it('leads where it would where that is inside', () => {
    expect(lands([9, 9], [3, -1])).toEqual([5, 4])
    expect(lands([5, 9], [3, -1])).toEqual([5, 4])
    expect(lands([9, 9], [0, 0])).toEqual([2, 5])
  })

  it('is cut off at a bound or shortened as a whole, whichever promises more', () => {
    expect(
      lands(
        [3, 9],
        [4, -4],
        fall((step) => -step[1]!),
      ),
    ).toEqual([3, 1])
    expect(
      lands(
        [3, 9],
        [4, -4],
        fall((step) => step[1]!),
      ),
    ).toEqual([3, 4])
    const down = [
      ...landing(
        problem([1, 3]),
        start,
        fall((step) => step[0]!),
        of(-4, -4),
      ),
    ]
    expect(down).toEqual([1, 3])
    const low = [
      ...landing(
        problem([1, 4]),
        start,
        fall((step) => step[0]! - step[1]!),
        of(-0.5, -4),
      ),
    ]
    expect(low).toEqual([1.875, 4])
  })

  it('moves the parameters that may move', () => {
    const one = { free: [1], model: { predictedFall: () => 0 } } as unknown as Parameters<typeof landing>[2]
    expect([...landing(problem(), start, one, of(-2))]).toEqual([2, 3])
    expect([...freeStep(start, [1], of(9, 4))]).toEqual([-1])
  })

  it('leaves a parameter where its slope presses it against its bound', () => {
    const free = (lower: number[], upper: number[], slopes: number[]) =>
      freeParameters(problem(lower, upper), start, of(...slopes))
    expect(free([2, -9], [9, 5], [1, -1])).toEqual([])
    expect(free([2, -9], [9, 5], [-1, 1])).toEqual([0, 1])
    expect(free([2, -9], [9, 5], [0, 0])).toEqual([])
    expect(free([-9, -9], [9, 9], [1, -1])).toEqual([0, 1])
  })
})

describe('derivatives that come with a problem', () => {
  const isRight = (columns: readonly Float64Array[], of = problem(), at = start) =>
    checkJacobian(of, { ...at, columns })

  it('are checked by one step of all parameters', () => {
    expect(isRight(COLUMNS)).toBe(true)
    expect(isRight([of(4, 5.3, 0), COLUMNS[1]!])).toBe(false)
    expect(isRight([COLUMNS[0]!, of(0, 2, 1.1)])).toBe(false)
    expect(isRight([of(0, 0, 0), COLUMNS[1]!])).toBe(false)
    expect(isRight([COLUMNS[0]!, of(0, 0, 0)])).toBe(false)
    expect(isRight([COLUMNS[1]!, COLUMNS[0]!])).toBe(false)
  })

  it('are checked from a bound inwards, and not where residuals are none', () => {
    const outside = { ...problem([-9, -9], [2, 5]) }
    const strict = {
      ...outside,
      evaluate: (at: Float64Array) => (at[0]! > 2 || at[1]! > 5 ? of(1e9, 1e9, 1e9) : evaluate(at)),
    }
    expect(isRight(COLUMNS, strict)).toBe(true)
    expect(isRight([of(4, 5.3, 0), COLUMNS[1]!], strict)).toBe(false)
    const broken = { ...problem(), evaluate: () => of(Number.NaN, 0, 0) }
    expect(isRight([of(4, 5.3, 0), COLUMNS[1]!], broken)).toBe(true)
  })

  it('are checked by steps as small as the parameters and as large as the columns ask for', () => {
    const scaled = {
      ...problem([-1, -1e9], [1, 1e9]),
      evaluate: ([p, q]: Float64Array) => of(1e12 * p! ** 2, p! * q!, q! / 1e6 - 3),
    }
    const at = pointAt(scaled, of(2e-6, 5e6))
    expect(isRight([of(4e6, 5e6, 0), of(0, 2e-6, 1e-6)], scaled, at)).toBe(true)
    expect(isRight([of(4e6, 5.3e6, 0), of(0, 2e-6, 1e-6)], scaled, at)).toBe(false)
    expect(isRight([of(4e6, 5e6, 0), of(0, 2e-6, 1.1e-6)], scaled, at)).toBe(false)
    // At 0 the step is that of 1.
    const still = pointAt(problem(), of(0, 5))
    expect(isRight([of(0, 5, 0), of(0, 0, 1)], problem(), still)).toBe(true)
    expect(isRight([of(0, 5.3, 0), of(0, 0, 1)], problem(), still)).toBe(false)
  })

  it('are columns, or rows that are turned, of as many numbers as there are residuals', () => {
    const rows = [
      [4, 0],
      [5, 2],
      [0, 1],
    ]
    const byRows = givenDerivatives({ jacobian: () => rows })!
    const byColumns = givenDerivatives({ jacobianColumns: () => COLUMNS })!
    for (const { fine } of [byRows, byColumns]) expect(fine(of(2, 5), start.residuals)).toEqual(COLUMNS)
    expect(givenDerivatives({})).toBeUndefined()
  })

  it.each([
    [{ jacobian: () => [[4, 0]] }, /expected 3 rows of 2 derivatives, got 1 of 2/],
    [{ jacobian: () => [[4], [5], [0]] }, /expected 3 rows of 2 derivatives, got 3 of 1/],
    [{ jacobian: () => [] }, /got 0 of 0/],
    [{ jacobianColumns: () => [[4, 5, 0]] }, /expected 2 columns of 3 derivatives, got 1 of 3/],
    [{ jacobianColumns: () => [[4], [5]] }, /got 2 of 1/],
  ])('are refused in another shape: %#', (given, message) => {
    const { fine } = givenDerivatives(given)!
    const call = () => fine(of(2, 5), start.residuals)
    expect(call).toThrow(
      expect.objectContaining({ code: 'jacobian-shape', message: expect.stringMatching(message) }),
    )
  })

  it('are none where one is not finite', () => {
    const { quick } = givenDerivatives({ jacobianColumns: () => [of(1, 2, 3), of(1, Number.NaN, 3)] })!
    expect(quick(of(2, 5), start.residuals)).toBeUndefined()
  })
})

describe('what a unit of a parameter weighs', () => {
  const scales = (
    scaling: 'largest' | 'current' | 'relative',
    before: number[] | undefined,
    lengths: number[],
  ) => [...scalesFor({ scaling, firstRadius: 1 }, before && of(...before), of(...lengths), of(4, 0))]

  it('is its largest slope so far, its slope now, or its own size', () => {
    expect(scales('largest', [2, 9], [5, 3])).toEqual([5, 9])
    expect(scales('largest', undefined, [5, 0])).toEqual([5, 1])
    expect(scales('current', [2, 9], [5, 3])).toEqual([5, 3])
    expect(scales('current', [2, 9], [0, 0])).toEqual([2, 9])
    expect(scales('current', undefined, [0, 3])).toEqual([1, 3])
    expect(scales('relative', [2, 8], [5, 3])).toEqual([0.25, 8])
    expect(scales('relative', undefined, [5, 4])).toEqual([0.25, 4])
    expect(scales('relative', undefined, [5, 0])).toEqual([0.25, 1])
  })

  it('makes the length of a step', () => {
    expect(scaledLength(of(3, 2), of(1, 2))).toBe(5)
  })
})
