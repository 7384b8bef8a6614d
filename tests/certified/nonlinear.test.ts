import { describe, expect, it } from 'vitest'
import { fitLeastSquares } from '../../src/numeric/leastSquares/fitLeastSquares.js'
import { digits } from './nist/digits.js'
import { models } from './nist/models.js'
import nonlinear from './nist/nonlinear.json' with { type: 'json' }

type Dataset = (typeof nonlinear.datasets)[number]

/** Residuals as NIST defines them; Nelson is fitted in log y. */
function residualsOf(set: Dataset): (b: readonly number[]) => number[] {
  const model = models[set.name]!
  const observed = set.data.map(([y]) => (set.name === 'Nelson' ? Math.log(y!) : y!))
  return (b) => set.data.map(([, ...x], i) => observed[i]! - model(b, x))
}

/**
 * Lanczos1's residuals are about 1e-13 of the data: their last digits are rounding of the data to binary, which alone
 * moves the sum of squares by 8.6e-4 and the standard deviations by 4e-4.
 */
const STANDARD_ERROR_DIGITS: Readonly<Record<string, number>> = { Lanczos1: 2 }

// NIST StRD Nonlinear Regression, both starts, with nothing but the residual function; each page is named beside its data.
describe('NIST nonlinear regression', () => {
  const reached: number[] = []
  for (const set of nonlinear.datasets) {
    for (const [which, start] of [set.start1, set.start2].entries()) {
      it(`${set.name} from start ${which + 1} is fitted to 6 digits, its standard errors to 4, and says so`, () => {
        const fit = fitLeastSquares({ residuals: residualsOf(set), start })
        reached.push(digits(fit.parameters, set.certified, 11))
        const errors = digits(fit.standardErrors ?? [], set.standardDeviations, 11)
        expect(reached.at(-1)).toBeGreaterThanOrEqual(6)
        expect(errors).toBeGreaterThanOrEqual(STANDARD_ERROR_DIGITS[set.name] ?? 4)
        expect(fit.converged).toBe(true)
        expect(fit.degreesOfFreedom).toBe(set.degreesOfFreedom)
        if (set.name !== 'Lanczos1') {
          expect(digits([fit.residualSumOfSquares], [set.residualSumOfSquares], 11)).toBeGreaterThanOrEqual(8)
        }
      })
    }
  }

  it('at least 50 of the 54 fits have 8 digits', () => {
    expect(reached).toHaveLength(54)
    expect(reached.filter((count) => count >= 8).length).toBeGreaterThanOrEqual(50)
  })

  it('no fit that is cut short by its budget calls fewer than 4 digits converged', () => {
    for (const set of nonlinear.datasets) {
      for (const start of [set.start1, set.start2]) {
        for (const maxEvaluations of [5, 20, 60, 150, 400, 1000]) {
          const fit = fitLeastSquares({ residuals: residualsOf(set), start, maxEvaluations })
          if (fit.converged)
            expect(digits(fit.parameters, set.certified, 11), set.name).toBeGreaterThanOrEqual(6)
        }
      }
    }
  })
})
