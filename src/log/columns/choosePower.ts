import { InputError } from '../../errors.js'
import { parseUnit } from '../../units.js'
import type { Header } from '../table/findHeader.js'
import { chooseColumn, findNamedColumn, listColumns, NEVER, rankOf } from './chooseColumn.js'
import {
  holdsNumbers,
  type MeasuredColumn,
  measuredColumns,
  unitOfCells,
  wrongUnit,
} from './measuredColumn.js'

const WATT = parseUnit('W')!
const POWER_WORD =
  /power|watt|leistung|puissance|potencia|potenza|moc\b|effekt|мощность|功率|電力|电力|package|pkg/

/** The power, or the energy counter, that the user named; else the one that fits best. */
export function choosePower(header: Header, asked: string | undefined): MeasuredColumn {
  const dimensions = ['power', 'energy'] as const
  if (asked !== undefined) {
    const column = findNamedColumn('power', asked, header.columns)
    const unit = column.unit ?? unitOfCells(header, column, dimensions) ?? WATT
    if (unit.dimension !== 'power' && unit.dimension !== 'energy') throw wrongUnit('power', column, 'W or J')
    return { column, unit }
  }
  const measured = measuredColumns(header, dimensions)
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
