import { InputError } from '../../errors.js'
import type { LogOptions } from '../trace.js'
import type { FormulaOptions } from './formulaOptions.js'

/** Whether a choice of a column could be a formula: it has an operator, with blanks about a minus, or calls a function. */
export function looksLikeFormula(text: string): boolean {
  return /[*^+/]|\s[-−]|[-−]\s|\b(min|max|abs|sqrt)\s*\(/.test(text)
}

/**
 * Options of a reader that works out no formulas, since the evaluator would not fit into it: a column with the name of a formula is read, a
 * formula is refused and says where it can be read.
 */
export function refuseFormulas<Options extends LogOptions>(options: Options): Options & FormulaOptions {
  const { power } = options
  if (power === undefined || !looksLikeFormula(power)) return options
  const fault = new InputError(
    'formula-not-here',
    `expected the name of a column, got the formula "${power}", which only the command line works out`,
    { remedy: 'read the log with `holdwatt stages LOG --power "…"`, or add the power to it as a column' },
  )
  return { ...options, formulas: new Map([[power, fault]]) }
}
