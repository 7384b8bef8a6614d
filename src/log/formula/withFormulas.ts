import { InputError } from '../../errors.js'
import { compileFormula } from './compileFormula.js'
import type { FormulaOptions, ReadFormula } from './formulaOptions.js'
import { looksLikeFormula } from './looksLikeFormula.js'

/**
 * Options whose formulas are read, so that the log itself can be read without waiting. Where no choice looks like a formula, nothing is
 * loaded, and the options are the same.
 *
 * @example parseLog(text, await withFormulas({ power: 'volts * amps' }))
 */
export async function withFormulas<Options extends FormulaOptions>(
  options: Options,
): Promise<Options & FormulaOptions> {
  const formulas = new Map(options.formulas ?? [])
  for (const text of [options.power, options.rate]) {
    const read = await readFormula(text)
    if (read !== undefined) formulas.set(text!, read)
  }
  return formulas.size === 0 ? options : { ...options, formulas }
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
