import type { Header } from '../table/findHeader.js'
import { chooseColumn, findNamedColumn } from './chooseColumn.js'
import type { MachinePart } from './machinePart.js'
import { type MeasuredColumn, measuredColumns, unitOfCells, wrongUnit } from './measuredColumn.js'

/** The clock that the user named; else the one that fits best, or all of a numbered family. */
export function chooseClock(
  header: Header,
  part: MachinePart,
  asked: string | undefined,
): MeasuredColumn | undefined {
  if (asked !== undefined) {
    const column = findNamedColumn('clock', asked, header.columns)
    const unit = column.unit ?? unitOfCells(header, column, ['frequency'])
    if (unit?.dimension !== 'frequency') throw wrongUnit('clock', column, 'MHz')
    return { column, unit }
  }
  const pool = measuredColumns(header, ['frequency'])
  const withUnits = pool.map(({ column, unit }) => (column.unit ? column : { ...column, unit }))
  const [first, ...siblings] = chooseColumn('clock', withUnits, part)
  const chosen = pool.find(({ column }) => column.index === first?.index)
  return chosen === undefined || siblings.length === 0 ? chosen : { ...chosen, siblings }
}
