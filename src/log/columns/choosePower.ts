import { InputError } from '../../errors.js'
import { parseUnit } from '../../units.js'
import type { Formula } from '../formula/compileFormula.js'
import type { ReadFormula } from '../formula/formulaOptions.js'
import type { Header } from '../table/findHeader.js'
import { plainText } from '../table/plainText.js'
import { bindFormula, powerUnitOf, sayFormula } from './bindFormula.js'
import { chooseColumn, findNamedColumn, listColumns, NEVER, rankOf } from './chooseColumn.js'
import {
  holdsNumbers,
  type MeasuredColumn,
  measuredColumns,
  unitOfCells,
  wrongUnit,
} from './measuredColumn.js'

const WATT = parseUnit('W')!
/** Words for a power in the names of columns without a unit. */
export const POWER_WORD =
  /power|watt|leistung|puissance|potencia|potenza|moc\b|effekt|мощность|功率|電力|电力|package|pkg/

/**
 * The power, or the energy counter, that the user named or wrote a formula for; else the one that fits best.
 *
 * @param formula - what the name was read as, where it looks like a formula: a column of that name comes first
 */
export function choosePower(
  header: Header,
  asked: string | undefined,
  formula: ReadFormula | undefined,
): MeasuredColumn {
  if (asked !== undefined) {
    if (formula === undefined || isColumn(header, asked)) return namedPower(header, asked)
    if (formula instanceof InputError) throw formula
    return powerOfFormula(header, formula)
  }
  const measured = measuredColumns(header, DIMENSIONS)
  const named = header.columns
    .filter((column) => column.unit === undefined && POWER_WORD.test(column.name))
    .filter(
      (column) =>
        holdsNumbers(header, column) && !measured.some((other) => other.column.index === column.index),
    )
    .map((column) => ({ column, unit: WATT }))
  const readings = measured.filter(({ column }) => rankOf('power', column) < NEVER)
  const pool = readings.length > 0 || (measured.length > 0 && named.length === 0) ? measured : named
  const [chosen] = chooseColumn(
    'power',
    pool.map(({ column, unit }) => (column.unit ? column : { ...column, unit })),
  )
  if (chosen === undefined) {
    throw new InputError(
      'power-missing',
      `found no column that is a power, among ${listColumns(header.columns)}`,
      {
        ...(header.line > 0 ? { where: { line: header.line } } : {}),
        remedy: 'pick the column with --power "NAME"',
      },
    )
  }
  return pool.find(({ column }) => column.index === chosen.index)!
}

const DIMENSIONS = ['power', 'energy'] as const

function namedPower(header: Header, asked: string): MeasuredColumn {
  const column = findNamedColumn('power', asked, header.columns)
  const unit = column.unit ?? unitOfCells(header, column, DIMENSIONS) ?? WATT
  if (unit.dimension !== 'power' && unit.dimension !== 'energy') throw wrongUnit('power', column, 'W or J')
  return { column, unit }
}

function isColumn(header: Header, asked: string): boolean {
  try {
    findNamedColumn('power', asked, header.columns)
    return true
  } catch {
    return false
  }
}

function powerOfFormula(header: Header, read: Formula): MeasuredColumn {
  const formula = bindFormula('power', read, header)
  const unit = powerUnitOf(formula)
  if (unit === undefined) {
    throw new InputError('formula-units', `expected a power in W, got ${sayFormula(formula)}`, {
      remedy:
        'a power is volts * amps, a sum or a share of powers; name units in the header, as in "rail [mA]"',
    })
  }
  const isNamed = !formula.isAssumed && formula.inputs.some((input) => input.unit !== undefined)
  const column = {
    index: formula.inputs[0]!.column.index,
    header: plainText(read.text),
    name: formula.inputs.map((input) => input.column.name).join(' '),
    unit: isNamed ? unit : undefined,
  }
  return { column, unit, formula }
}
