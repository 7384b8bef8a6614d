import type { ChosenColumns } from '../columns/chooseColumns.js'
import type { TableRows } from '../rows/tableReader.js'
import type { Header } from '../table/findHeader.js'
import type { DecimalMark } from '../table/parseNumber.js'
import { plainText } from '../table/plainText.js'
import type { Repair } from '../trace.js'

/** How a table was read. */
interface TableReading {
  readonly header: Header
  readonly chosen: ChosenColumns
  /** Decimal mark of each column of numbers. */
  readonly marks: ReadonlyMap<number, DecimalMark>
}

/** What the user should know of how a table was read, where it could be read otherwise. */
export function noteReading(reading: TableReading, rows: TableRows): readonly Repair[] {
  const { chosen } = reading
  return [
    ...noteOthers(chosen, rows),
    ...noteThousands(reading),
    ...chosen.notes,
    ...noteMinutes(chosen, rows),
  ]
}

/** Rows of other machines, which are no samples of this one. */
function noteOthers({ device }: ChosenColumns, { otherRows, lines }: TableRows): readonly Repair[] {
  if (device === undefined || otherRows === 0) return []
  const others = plainText(device.others.join(', '))
  const detail = `rows of other machines passed over (column "${device.column.header}": ${others})`
  return [{ kind: 'other-machines', count: otherRows, firstLine: lines[0] ?? null, detail }]
}

/** Marks that could be decimal ones were taken for those of thousands. */
function noteThousands({ header, chosen, marks }: TableReading): readonly Repair[] {
  const { thousands, power } = chosen
  if (thousands === undefined || marks.get(power.column.index) !== thousands.mark) return []
  const { cell } = thousands
  const whole = `${cell.replace(/\D/g, '')} ${power.unit.symbol}`
  const detail = `"${plainText(cell)}" in column "${power.column.header}" is read as ${whole}: as a fraction, the machine would never draw 1 W`
  return [{ kind: 'thousands', count: 1, firstLine: header.line > 0 ? header.line : null, detail }]
}

/** Stamps of two figures may be read in two ways: which was taken, and why. */
function noteMinutes({ time }: ChosenColumns, { written, lines }: TableRows): readonly Repair[] {
  if (written.minutes === undefined) return []
  const { form, reason } = written.minutes
  const detail = `column "${time?.columns.at(-1)?.header}" is read as ${form}, ${reason}`
  return [{ kind: 'time-form', count: 1, firstLine: lines[0] ?? null, detail }]
}
