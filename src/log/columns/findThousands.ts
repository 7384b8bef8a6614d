import type { Header } from '../table/findHeader.js'
import { type DecimalMark, markOf } from '../table/parseNumber.js'
import type { MeasuredColumn } from './measuredColumn.js'

/** Columns whose cells hold points or commas of thousands, where nothing says so but their size. */
export interface Thousands {
  readonly indices: readonly number[]
  /** What is then the decimal mark. */
  readonly mark: DecimalMark
  /** A cell of the power, as written. */
  readonly cell: string
}

/**
 * Whether the power is in a small unit (`mW`) with a mark before three digits in every cell that has one: `9.533` is then nine watts and not a
 * hundredth of one, as no loaded machine stays below a watt. Other powers that leave it open, such as a limit, go with it. A cell further down
 * with other digits settles it otherwise.
 */
export function findThousands(
  header: Header,
  power: MeasuredColumn,
  others: readonly MeasuredColumn[],
): Thousands | undefined {
  const isSmall = ({ unit, formula }: MeasuredColumn) =>
    unit.dimension === 'power' && unit.scale < 1 && formula === undefined
  const found = isSmall(power) ? openMark(header, power) : undefined
  if (found === undefined) return undefined
  const alike = others.filter((other) => isSmall(other) && openMark(header, other)?.mark === found.mark)
  return { ...found, indices: [power, ...alike].map(({ column }) => column.index) }
}

/** The decimal mark that cells leave open, where one of them has the other mark. */
function openMark({ rows }: Header, { column }: MeasuredColumn): Omit<Thousands, 'indices'> | undefined {
  const cells = rows.map((row) => (row[column.index] ?? '').trim()).filter((cell) => /\d[.,]\d/.test(cell))
  const group = cells[0]?.includes('.') === true ? '.' : ','
  if (cells.length === 0 || !cells.every((cell) => cell.includes(group) && markOf(cell) === undefined))
    return undefined
  return { mark: group === '.' ? ',' : '.', cell: cells[0]! }
}
