import { InputError } from '../../errors.js'
import type { LogOptions } from '../trace.js'
import { compileFormula, type Formula } from './compileFormula.js'

/** What a choice of columns that may be a formula was read as: a fault counts only where no column has that name. */
export type ReadFormula = Formula | InputError

/** Options of a log, with what their formulas were read as. */
export interface FormulaOptions extends LogOptions {
  /** By the text of the choice. */
  readonly formulas?: ReadonlyMap<string, ReadFormula>
}

/**
 * Options whose formulas are read, so that the log itself can be read without waiting. Where no choice looks like a formula, nothing is
 * loaded, and the options are the same.
 *
 * @example parseLog(text, await withFormulas({ power: 'volts * amps' }))
 */
export async function withFormulas<Options extends FormulaOptions>(
  options: Options,
): Promise<Options & FormulaOptions> {
  const { power, formulas } = options
  const texts = [power].filter((text) => text !== undefined && looksLikeFormula(text) && !formulas?.has(text))
  if (texts.length === 0) return options
  const read = await Promise.all(texts.map(async (text) => [text!, await readFormula(text!)] as const))
  return { ...options, formulas: new Map([...(formulas ?? []), ...read]) }
}

/** Whether a choice of a column could be a formula: it has an operator, with blanks about a minus, or calls a function. */
function looksLikeFormula(text: string): boolean {
  return /[*^+/]|\s[-−]|[-−]\s|\b(min|max|abs|sqrt)\s*\(/.test(text)
}

async function readFormula(text: string): Promise<ReadFormula> {
  try {
    return await compileFormula(text)
  } catch (error) {
    if (error instanceof InputError) return error
    throw error
  }
}
