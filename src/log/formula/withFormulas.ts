import { InputError } from '../../errors.js'
import { compileFormula } from './compileFormula.js'
import type { FormulaOptions, ReadFormula } from './formulaOptions.js'
import { looksLikeFormula } from './refuseFormulas.js'

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
  const read = power === undefined || formulas?.has(power) ? undefined : await readFormula(power)
  return read === undefined
    ? options
    : { ...options, formulas: new Map([...(formulas ?? []), [power!, read]]) }
}

/** What a choice of a column is as a formula; undefined where it is none, and then nothing is loaded. */
export async function readFormula(text: string | null | undefined): Promise<ReadFormula | undefined> {
  if (text == null || !looksLikeFormula(text)) return undefined
  try {
    return await compileFormula(text)
  } catch (error) {
    if (error instanceof InputError) return error
    throw error
  }
}
