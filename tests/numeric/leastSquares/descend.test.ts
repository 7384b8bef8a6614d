import { describe, expect, it } from 'vitest'
import { descend } from '../../../src/numeric/leastSquares/descend.js'
import { type DerivativeGrade, differentiator } from '../../../src/numeric/leastSquares/differentiate.js'
import { fitLeastSquares } from '../../../src/numeric/leastSquares/fitLeastSquares.js'
import type { Problem } from '../../../src/numeric/leastSquares/residualPoint.js'
import type { Strategy } from '../../../src/numeric/leastSquares/variableScales.js'
import { digits } from '../../certified/nist/digits.js'
import { models } from '../../certified/nist/models.js'
import nonlinear from '../../certified/nist/nonlinear.json' with { type: 'json' }

const of = (...values: number[]) => Float64Array.from(values)
const USUAL: Strategy = { scaling: 'largest', firstRadius: 1 }
const EXACT = { quick: 2.2e-16, coarse: 2.2e-16, fine: 2.2e-16 }

/**
 * A descent whose residuals are told one call after the other, whatever the parameters: each rule can be worked out by hand. Derivatives are
 * the same everywhere. It can't go on when they are used up.
 */
function scripted(
  told: readonly (readonly number[])[],
  {
    start = [0],
    columns = [told[0]!.map((_, i) => (i === 0 ? 1 : 0))],
    strategy = USUAL,
    errors = EXACT,
    tolerance = 0,
    lower = start.map(() => Number.NEGATIVE_INFINITY),
  }: {
    readonly start?: readonly number[]
    readonly columns?: readonly (readonly number[])[]
    readonly strategy?: Strategy
    readonly errors?: Readonly<Record<DerivativeGrade, number>>
    readonly tolerance?: number
    readonly lower?: readonly number[]
  } = {},
) {
  const asked: number[][] = []
  const grades: DerivativeGrade[] = []
  let forgotten = 0
  const by = (grade: DerivativeGrade) => () => {
    grades.push(grade)
    return columns.map((column) => of(...column))
  }
  const problem: Problem = {
    evaluate: (at) => {
      asked.push([...at])
      const next = told[asked.length]
      if (next === undefined) throw new Error('more residuals were asked for than are told')
      return of(...next)
    },
    derivatives: {
      quick: by('quick'),
      coarse: by('coarse'),
      fine: by('fine'),
      forgetSteps: () => forgotten++,
      errors,
    },
    lower: of(...lower),
    upper: of(...start.map(() => Number.POSITIVE_INFINITY)),
    rankTolerance: 1e-11,
    tolerance,
    affordable: () => asked.length < told.length - 1,
  }
  const residuals = of(...told[0]!)
  const at = { parameters: of(...start), residuals, sumOfSquares: residuals.reduce((s, r) => s + r * r, 0) }
  const { reason, parameters, sumOfSquares, free } = descend(problem, at, strategy)
  return { reason, parameters: [...parameters], sumOfSquares, free, asked, grades, forgotten }
}

/** Where the residual r(x) that falls by 1 for each unit of -x was asked for, as steps from the place before that was taken. */
function places(told: readonly number[], options: Parameters<typeof scripted>[1] = {}) {
  return scripted(
    told.map((value) => [value]),
    options,
  ).asked.map(([x]) => x!)
}

describe('the way down', () => {
  // A residual of 10 that falls by 1 for a step of -1: a step of 1 would bring 100 - 81 = 19.
  it('takes a first step as long as asked for, in scaled variables', () => {
    expect(places([10, 9])[0]).toBeCloseTo(-1, 2)
    expect(places([10, 9], { strategy: { ...USUAL, firstRadius: 3 } })[0]).toBeCloseTo(-3, 2)
    expect(places([10, 9], { start: [4], strategy: { ...USUAL, firstRadius: 0.5 } })[0]).toBeCloseTo(2, 2)
  })

  it('steps twice as far after a step that brought three quarters of what was foretold, but not after one that brought half', () => {
    expect(places([10, 9, 9])[1]).toBeCloseTo(-3, 2)
    expect(places([10, Math.sqrt(100 - 0.8 * 19), 9])[1]).toBeCloseTo(-3, 2)
    expect(places([10, Math.sqrt(100 - 0.7 * 19), 9])[1]).toBeCloseTo(-2, 2)
    expect(places([10, Math.sqrt(100 - 0.3 * 19), 9])[1]).toBeCloseTo(-2, 2)
  })

  it('steps half as far after one that brought less than a quarter, a tenth as far after one that lost as much', () => {
    expect(places([10, Math.sqrt(100 - 0.2 * 19), 9])[1]).toBeCloseTo(-1.5, 2)
    // Not taken: it begins again where it was.
    expect(places([10, 10, 9])[1]).toBeCloseTo(-0.5, 2)
    expect(places([10, Math.sqrt(100 + 0.9 * 19), 9])[1]).toBeCloseTo(-0.5, 2)
    expect(places([10, Math.sqrt(100 + 1.1 * 19), 9])[1]).toBeCloseTo(-0.1, 2)
    expect(places([10, Number.NaN, 9])[1]).toBeCloseTo(-0.1, 2)
  })

  it('does not step farther after a full step, which was not cut short', () => {
    // Both full: the next one would be the same again if it were not shorter than the radius of 5.
    const steps = places([2, 1, 1.5], { strategy: { ...USUAL, firstRadius: 5 } })
    expect(steps[0]).toBeCloseTo(-2, 9)
    // From 1.5 at -2 a step of 1.5 fails by more than it promised: a tenth of it, not of the radius, is tried.
    const failed = places([2, 3, 1], { strategy: { ...USUAL, firstRadius: 5 } })
    expect(failed[1]).toBeCloseTo(-0.2, 2)
  })

  it('changes how far it steps in proportion to how far it stepped', () => {
    const radius = (firstRadius: number) => ({ strategy: { ...USUAL, firstRadius } })
    expect(places([10, 7, 6], radius(3))[1]).toBeCloseTo(-9, 1)
    expect(places([10, 9.5, 9], radius(0.5))[1]).toBeCloseTo(-1.5, 2)
    // A full step of 2 from 4, where 20 were allowed, that lost more than it promised: a tenth of the 2.
    expect(places([2, 3, 1], { start: [4], ...radius(5) })[1]).toBeCloseTo(3.8, 2)
  })

  it('goes on where one parameter of two need not move', () => {
    const two = scripted(
      [
        [10, 0, 1],
        [9, 0, 1],
      ],
      {
        start: [0, 1],
        columns: [
          [1, 0, 0],
          [0, 1, 0],
        ],
      },
    )
    expect(two.asked).toHaveLength(1)
    expect(two.asked[0]![0]).toBeCloseTo(-1, 2)
    expect(two.asked[0]![1]).toBe(1)
  })

  it('says that it makes no progress where no step brings anything, however short, by the finest derivatives', () => {
    const badly = { quick: 1e-8, coarse: 1e-10, fine: 1e-13 }
    const stuck = scripted(new Array(400).fill([2, 1]), { start: [1], errors: badly })
    expect(stuck).toMatchObject({ reason: 'no-progress', parameters: [1] })
    expect(stuck.grades).toEqual(['quick', 'coarse', 'fine'])
    // From a step of 1 it takes 54 halvings to what doubles the last digit of 1: three times.
    expect(Math.abs(stuck.asked.length / 3 - 54)).toBeLessThan(2)
  })

  it('takes no more than 2000 steps', () => {
    const slow = scripted(Array.from({ length: 2200 }, (_, i) => [10 * 0.9999 ** i]))
    expect(slow.reason).toBe('evaluation-limit')
    expect(slow.asked).toHaveLength(2000)
  })

  it('ends where its evaluations are used up, at the best point', () => {
    const end = scripted([[10], [9], [8], [9]])
    expect(end).toMatchObject({ reason: 'evaluation-limit', sumOfSquares: 64 })
    expect(end.asked).toHaveLength(3)
    expect(end.parameters[0]).toBeCloseTo(-3, 2)
  })

  it('ends where residuals are none, unless the data leave a direction open', () => {
    expect(scripted([[2], [0], [0]], { strategy: { ...USUAL, firstRadius: 5 } }).reason).toBe(
      'residuals-zero',
    )
    const open = scripted(
      [
        [2, 0],
        [0, 0],
        [0, 0],
      ],
      {
        start: [1, 1],
        columns: [
          [1, 0],
          [1, 0],
        ],
        strategy: { ...USUAL, firstRadius: 5 },
      },
    )
    expect(open.reason).toBe('not-identified')
  })

  it('ends at once where every parameter is pressed against a bound', () => {
    const end = scripted([[10], [9]], { lower: [0] })
    expect(end).toMatchObject({ reason: 'step-negligible', free: [], asked: [] })
  })

  it('ends where derivatives are not finite', () => {
    const problem = {
      derivatives: { quick: () => undefined, errors: EXACT },
      affordable: () => true,
    } as unknown as Problem
    const at = { parameters: of(1, 2), residuals: of(1, 1, 1), sumOfSquares: 3 }
    expect(descend(problem, at, USUAL)).toEqual({
      ...at,
      reason: 'derivative-not-finite',
      columns: [],
      free: [0, 1],
      triangle: { upper: [], projected: of() },
    })
  })

  it('with a tolerance ends as soon as the step left is less than that of a standard error', () => {
    // Of two residuals, r and 1, with a slope of 1: the error is about 1, and the step left is r.
    const left = (r: number) =>
      scripted(
        [
          [r, 1],
          [r, 1],
        ],
        { tolerance: 0.01 },
      )
    expect(left(0.0099)).toMatchObject({ reason: 'step-negligible', asked: [] })
    expect(left(0.0101).asked).toHaveLength(1)
  })

  it('with a tolerance ends where a step that failed would have brought less than 0.03 variances', () => {
    // r² is what a step promises; the variance is r² + 1 over one degree of freedom.
    const failed = (r: number, tolerance: number) =>
      scripted(
        [
          [r, 1],
          [r, 1],
          [r, 1],
        ],
        { tolerance },
      )
    expect(failed(0.17, 0.01)).toMatchObject({ reason: 'step-negligible', parameters: [0] })
    expect(failed(0.17, 0.01).asked).toHaveLength(1)
    expect(failed(0.18, 0.01).asked).toHaveLength(2)
    expect(failed(0.17, 0)).toMatchObject({ reason: 'evaluation-limit' })
    // Of four residuals, three degrees of freedom, in another unit.
    const four = (r: number) => {
      const told = [10 * r, 10, 10, 10]
      const strategy = { ...USUAL, firstRadius: 5 }
      return scripted([told, told, told], { tolerance: 0.01, strategy }).asked.length
    }
    expect(four(0.17)).toBe(1)
    expect(four(0.18)).toBe(2)
  })
})

describe('the close of a descent', () => {
  // Of residuals s and 1 the undamped step is s, beside a standard error of 1; at 0 that is what is left.
  const closing = (...left: number[]) => scripted(left.map((s) => [s, 1]))

  it('goes on with undamped steps while they shrink', () => {
    const { asked, reason } = closing(8e-6, 4e-6, 2e-6, 1e-6)
    expect(asked.map(([x]) => x!)).toEqual([-8e-6, -12e-6, -14e-6])
    expect(reason).toBe('evaluation-limit')
  })

  it('takes the last one unseen, where what is left after it is below 1e-10 by the series so far', () => {
    // 1e-6 to 1e-8: after it there would be 1e-10 and a hundredth of that again and again.
    const short = closing(1e-6, 0.99e-8, 0)
    expect(short.asked).toHaveLength(1)
    expect(short.reason).toBe('step-negligible')
    expect(short.parameters[0]).toBeCloseTo(-1e-6 - 0.99e-8, 20)
    expect(short.sumOfSquares).toBe(1)
    expect(closing(1e-6, 1.01e-8, 0).asked).toHaveLength(2)
    // A ratio of a tenth and more is no sign of a series.
    expect(closing(1e-9, 0.99e-10, 0).asked).toHaveLength(1)
    expect(closing(1e-10, 1.1e-11, 0).asked).toHaveLength(2)
  })

  it('ends with the best point when steps shrink no more, five in a row', () => {
    const end = closing(5e-8, 6e-8, 7e-8, 6e-8, 6e-8, 6e-8, 6e-8, 0)
    expect(end).toMatchObject({ reason: 'rounding-limit', parameters: [0] })
    expect(end.asked).toHaveLength(5)
    // One that shrinks again begins the count anew.
    const later = closing(5e-8, 6e-8, 7e-8, 6e-8, 6e-8, 1e-8, 5e-8, 5e-8, 5e-8, 5e-8, 5e-8, 5e-8, 5e-8)
    expect(later.asked).toHaveLength(10)
    expect(later.parameters[0]).toBeCloseTo(-30e-8, 15)
  })

  it('says that a step is negligible, not that rounding hides it, below 1e-10', () => {
    expect(closing(9e-11, 9e-11, 9e-11, 9e-11, 9e-11, 9e-11, 9e-11).reason).toBe('step-negligible')
    expect(closing(2e-10, 2e-10, 2e-10, 2e-10, 2e-10, 2e-10, 2e-10).reason).toBe('rounding-limit')
    // Below 1e-12 it is not looked for any further.
    expect(closing(9e-13, 9e-13).asked).toEqual([])
    expect(closing(0, 0, 0)).toMatchObject({ reason: 'step-negligible', parameters: [0] })
  })

  it('ends, at the point before, where the sum of squares rises', () => {
    const risen = scripted([
      [5e-8, 1],
      [0, 1 + 1e-6],
    ])
    expect(risen).toMatchObject({ reason: 'rounding-limit', parameters: [0] })
    const level = scripted([
      [5e-8, 1],
      [0, 1 + 1e-7],
      [0, 1],
    ])
    expect(level).toMatchObject({ reason: 'step-negligible', parameters: [-5e-8] })
    expect(
      scripted([
        [5e-8, 1],
        [0, Number.NaN],
      ]),
    ).toMatchObject({ reason: 'rounding-limit', parameters: [0] })
  })

  it('is told by what is left where damped steps bring no more either', () => {
    const rest = (left: number) => [
      ...[1.2e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7],
      ...new Array<number>(400).fill(left),
    ]
    // By a series of halves, twice the step: 0.8e-7, and 1.2e-7.
    expect(closing(...rest(0.4e-7)).reason).toBe('rounding-limit')
    expect(closing(...rest(0.6e-7)).reason).toBe('no-progress')
  })

  it('does not count by the steps alone where more than 1e-7 is left of their series: damped ones go on', () => {
    // Steps that shrink by half leave as much as the last one again: 2 × 0.6e-7.
    const end = closing(1.2e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0.6e-7, 0)
    expect(end.asked).toHaveLength(7)
    const near = closing(0.8e-7, 0.4e-7, 0.4e-7, 0.4e-7, 0.4e-7, 0.4e-7, 0.4e-7, 0)
    expect(near).toMatchObject({ reason: 'rounding-limit' })
    expect(near.asked).toHaveLength(6)
  })
})

describe('derivatives on the way down', () => {
  const badly = { quick: 1e-8, coarse: 1e-10, fine: 1e-13 }

  it('are the quick ones as long as the undamped step is far', () => {
    expect(scripted([[10], [9], [8]], { errors: badly }).grades).toEqual(['quick', 'quick', 'quick'])
  })

  it('are central ones near the end, where their error moves no parameter by more than 1e-9, else the finest', () => {
    // At 2 with an error of s: residuals 0.01 s and s; a relative error e moves the parameter by e s / 2.
    const near = (s: number) =>
      scripted(
        [
          [0.01 * s, s],
          [0.01 * s, s],
        ],
        { start: [2], errors: badly },
      )
    expect(near(0.19).grades[0]).toBe('quick')
    expect(near(0.19).grades).not.toContain('coarse')
    expect(near(0.3).grades.slice(0, 2)).toEqual(['quick', 'coarse'])
    expect(near(0.3).grades).not.toContain('fine')
    expect(near(0.3).forgotten).toBe(1)
    expect(near(100).grades.slice(0, 2)).toEqual(['quick', 'fine'])
  })

  it('are central ones as soon as one direction is a thousand times weaker than another', () => {
    const grades = (weak: number) =>
      scripted(
        [
          [10, 10, 1],
          [9, 9, 1],
        ],
        {
          start: [1, 1],
          columns: [
            [1, 0, 0],
            [1, weak, 0],
          ],
          strategy: { scaling: 'current', firstRadius: 1 },
          errors: badly,
        },
      ).grades
    expect(grades(1)[1]).toBe('quick')
    expect(grades(1e-4)[1]).toBe('coarse')
    // No direction at all is the weakest.
    expect(grades(0)[1]).toBe('coarse')
  })

  it('are looked at more closely where no step helps, before that is said', () => {
    // Residuals across their derivatives: no step of the parameter brings anything.
    const end = scripted(
      [
        [0, 1],
        [0, 1],
      ],
      { start: [1], columns: [[0, 0]], errors: badly },
    )
    expect(end.grades).toEqual(['quick', 'coarse', 'fine'])
    expect(end.reason).toBe('not-identified')
  })
})

describe('a descent by differences', () => {
  // NIST StRD Nonlinear Regression, from the nearer start, by the usual strategy alone.
  it.each([
    ['Misra1a', 9],
    ['DanWood', 9],
    ['Rat42', 9],
    ['Rat43', 9],
    ['BoxBOD', 9],
    ['Chwirut2', 9],
    ['Eckerle4', 9],
    ['Hahn1', 7],
    ['Roszman1', 9],
    ['MGH10', 8],
  ])('comes to the certified parameters of %s', (name, least) => {
    const set = nonlinear.datasets.find((one) => one.name === name)!
    const evaluate = (b: Float64Array) =>
      Float64Array.from(set.data, ([y, ...x]) => y! - models[name]!([...b], x))
    const unbounded = {
      lower: new Float64Array(set.start2.length).fill(Number.NEGATIVE_INFINITY),
      upper: new Float64Array(set.start2.length).fill(Number.POSITIVE_INFINITY),
    }
    const problem: Problem = {
      evaluate,
      derivatives: differentiator(evaluate, unbounded),
      ...unbounded,
      rankTolerance: 1e-11,
      tolerance: 0,
      affordable: () => true,
    }
    const residuals = evaluate(of(...set.start2))
    const at = {
      parameters: of(...set.start2),
      residuals,
      sumOfSquares: residuals.reduce((s, r) => s + r * r, 0),
    }
    const end = descend(problem, at, USUAL)
    expect(digits([...end.parameters], set.certified, 11)).toBeGreaterThanOrEqual(least)
    expect(['step-negligible', 'rounding-limit']).toContain(end.reason)
  })

  it('keeps no digits of a start that is far away', () => {
    const x = Array.from({ length: 12 }, (_, i) => i)
    const residuals = ([a, tau]: readonly number[]) =>
      x.map((t, i) => 7 * Math.exp(-t / 3) + (i % 2 === 0 ? 0.01 : -0.01) - a! * Math.exp(-t / tau!))
    const near = fitLeastSquares({ residuals, start: [7, 3] })
    const far = fitLeastSquares({ residuals, start: [100, 30] })
    far.parameters.forEach((value, j) => {
      expect(Math.abs(value / near.parameters[j]! - 1)).toBeLessThan(1e-9)
    })
  })
})
