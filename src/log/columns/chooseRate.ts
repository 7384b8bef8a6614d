import { InputError } from '../../errors.js'
import type { FormulaOptions } from '../formula/formulaOptions.js'
import type { Header } from '../table/findHeader.js'
import { plainText } from '../table/plainText.js'
import { bindFormula } from './bindFormula.js'
import { findNamedColumn } from './chooseColumn.js'
import { AS_WRITTEN, type MeasuredColumn } from './measuredColumn.js'

/** The column, or the formula, with the pace of the work, as the user named it: its numbers as they stand, whatever the unit. */
export function chooseRate(header: Header, { rate, formulas }: FormulaOptions): MeasuredColumn | undefined {
  if (rate === undefined) return undefined
  const read = formulas?.get(rate)
  try {
    return { column: findNamedColumn('rate', rate, header.columns), unit: AS_WRITTEN }
  } catch (error) {
    if (read === undefined) throw error
  }
  if (read instanceof InputError) throw read
  const formula = bindFormula('rate', read, header)
  const { index } = formula.inputs[0]!.column
  const column = {
    index,
    header: plainText(read.text),
    name: plainText(read.text).toLowerCase(),
    unit: undefined,
  }
  return { column, unit: AS_WRITTEN, formula }
}
