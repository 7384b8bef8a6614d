import type { InputError } from '../../errors.js'
import type { LogOptions } from '../trace.js'
import type { Formula } from './compileFormula.js'

/** What a choice of columns that may be a formula was read as: a fault counts only where no column has that name. */
export type ReadFormula = Formula | InputError

/** Options of a log, with what their formulas were read as. */
export interface FormulaOptions extends LogOptions {
  /** By the text of the choice. */
  readonly formulas?: ReadonlyMap<string, ReadFormula>
}
