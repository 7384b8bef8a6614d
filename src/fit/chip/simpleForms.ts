import {
  ExponentialRegression,
  PolynomialRegression,
  PowerRegression,
  SimpleLinearRegression,
  TheilSenRegression,
} from 'ml-regression'

/** Forms that a score curve is held against, as a spreadsheet fits them. */
export type SimpleForm = 'straight line' | 'power law' | 'exponential' | 'parabola' | 'robust line'

/** A measured level: mean power, W, and mean rate of its runs; their clock, Hz, where it was noted. */
export interface MeasuredLevel {
  readonly powerW: number
  readonly rate: number
  readonly clockHz?: number
  /** Mean leakage heat of its runs, K; left out where no temperature is known. */
  readonly heatK?: number
  /** The units of the chip that ran it; left out: one and the same. */
  readonly units?: readonly string[]
}

/**
 * How far off each form is at each level that is left out of its fit: ln rate foretold minus measured.
 *
 * @param levels - four or more, so that a parabola has three
 * @param leftOut - numbers of the levels to leave out, one at a time
 * @source least squares of ml-regression; power law and exponential are fitted to logarithms; the robust line is that of H. Theil (1950)
 * and P. K. Sen (1968), the median of all slopes between two levels
 */
export function missesOfForms(
  levels: readonly MeasuredLevel[],
  leftOut: readonly number[],
): ReadonlyMap<SimpleForm, readonly number[]> {
  return new Map(
    Object.entries(FORMS).map(([form, fitForm]) => [
      form as SimpleForm,
      leftOut.map((out) => {
        const { powerW, rate } = levels[out]!
        const rest = levels.filter((_, k) => k !== out)
        const curve = fitForm(
          rest.map((level) => level.powerW),
          rest.map((level) => level.rate),
        )
        return Math.log(Math.max(LEAST_SHARE, curve.predict(powerW) / rate))
      }),
    ]),
  )
}

type FormFit = (x: readonly number[], y: readonly number[]) => { predict(x: number): number }

const FORMS: { readonly [form in SimpleForm]: FormFit } = {
  'straight line': (x, y) => new SimpleLinearRegression(x, y),
  'power law': (x, y) => new PowerRegression(x, y),
  exponential: (x, y) => new ExponentialRegression(x, y),
  parabola: (x, y) => new PolynomialRegression(x, y, 2),
  'robust line': (x, y) => new TheilSenRegression(x, y),
}

/** A form that foretells nothing, or less, counts as off by this share. */
const LEAST_SHARE = 0.01
