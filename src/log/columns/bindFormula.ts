import { InputError } from '../../errors.js'
import { parseUnit, type Unit } from '../../units.js'
import { atPlace } from '../formula/atPlace.js'
import type { Formula } from '../formula/compileFormula.js'
import { type Exponents, exponentsOf, isSame, PLAIN, unitOfExponents } from '../formula/exponentsOf.js'
import type { Column } from '../table/describeColumn.js'
import { electricUnitOf } from '../table/electricUnit.js'
import type { Header } from '../table/findHeader.js'
import { plainText } from '../table/plainText.js'
import { findNamedColumn, type Wanted } from './chooseColumn.js'
import { type BoundFormula, type FormulaInput, unitOfCells } from './measuredColumn.js'

/**
 * Puts the columns of a table in the place of a formula's names, and finds the unit of its value. Columns that name no unit count as plain
 * numbers; where that gives no sense (`wall * 0.88 - 6 W`), as watts.
 *
 * @throws InputError `column-unknown`, `column-ambiguous` with the place in the formula; `formula-units`
 */
export function bindFormula(wanted: Wanted, formula: Formula, header: Header): BoundFormula {
  const inputs = formula.names.map(({ name, at }) => {
    const column = columnAt(wanted, { name, at, text: formula.text }, header)
    return { column, unit: unitOfInput(header, column) }
  })
  const read = (unnamed: Exponents) =>
    formula.dimension(inputs.map(({ unit }) => (unit === undefined ? unnamed : exponentsOf(unit))))
  try {
    return { formula, inputs, exponents: read(PLAIN), isAssumed: false }
  } catch (error) {
    if (!inputs.some(({ unit }) => unit === undefined)) throw error
    return { formula, inputs, exponents: orElse(() => read(exponentsOf(WATT)), error), isAssumed: true }
  }
}

/** Unit of the value, in which its numbers are: W of a power, J of an energy, W where no column names a unit; undefined for anything else. */
export function powerUnitOf({ exponents, inputs }: BoundFormula): Unit | undefined {
  if (isSame(exponents, exponentsOf(JOULE))) return JOULE
  const isUnnamed = isSame(exponents, PLAIN) && inputs.every(({ unit }) => unit === undefined)
  return isUnnamed || isSame(exponents, exponentsOf(WATT)) ? WATT : undefined
}

/** What a formula gives, with the units that its columns are in, for a message. */
export function sayFormula({ formula, inputs, exponents }: BoundFormula): string {
  const units = inputs.map(
    ({ column, unit }) => `"${column.header}" ${unit === undefined ? 'without a unit' : `in ${unit.symbol}`}`,
  )
  return `"${plainText(formula.text)}", from ${units.join(', ')}, gives ${unitOfExponents(exponents)}`
}

const WATT = parseUnit('W')!
const JOULE = parseUnit('J')!

function columnAt(
  wanted: Wanted,
  { name, at, text }: { readonly name: string; readonly at: number; readonly text: string },
  header: Header,
): Column {
  try {
    return findNamedColumn(wanted, name, header.columns)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    const remedy =
      error.code === 'column-ambiguous'
        ? 'name one in double quotes, as the header has it, or by its number: "#3"'
        : error.details.remedy
    throw new InputError(error.code, `${error.message}, in "${plainText(text)}"${atPlace(text, at)}`, {
      ...error.details,
      ...(remedy === undefined ? {} : { remedy }),
    })
  }
}

function unitOfInput(header: Header, column: Column): FormulaInput['unit'] {
  const cells = header.rows.map((row) => row[column.index] ?? '')
  return (
    column.unit ??
    electricUnitOf(column.header, cells) ??
    unitOfCells(header, column, ['power', 'energy', 'time', 'temperature', 'frequency', 'share'])
  )
}

function orElse<T>(work: () => T, error: unknown): T {
  try {
    return work()
  } catch {
    throw error
  }
}
