import type { FormulaOptions } from '../formula/formulaOptions.js'
import type { Header } from '../table/findHeader.js'
import { type DecimalMark, findDecimalMark } from '../table/parseNumber.js'
import type { Repair } from '../trace.js'
import { sayFormula } from './bindFormula.js'
import { chooseClock } from './chooseClock.js'
import { bare, INSTANT } from './chooseColumn.js'
import { chooseDevice, type Device, rowsOfDevice } from './chooseDevice.js'
import { chooseLimit } from './chooseLimit.js'
import { chooseParts } from './chooseParts.js'
import { choosePower } from './choosePower.js'
import { chooseRate } from './chooseRate.js'
import { chooseReasons } from './chooseReasons.js'
import { chooseTemperatures } from './chooseTemperatures.js'
import { chooseTime, type TimeSource } from './chooseTime.js'
import { chooseUse } from './chooseUse.js'
import { findThousands, type Thousands } from './findThousands.js'
import { partOfPower } from './machinePart.js'
import {
  type MeasuredColumn,
  measuredColumns,
  type Quantity,
  type SeriesColumn,
  unitOfCells,
} from './measuredColumn.js'
import { ownColumns } from './ownColumns.js'

/** The columns that a log is read from. */
export interface ChosenColumns {
  readonly time: TimeSource | undefined
  readonly power: MeasuredColumn
  /** What else is read; of each quantity the chosen one first. */
  readonly series: readonly SeriesColumn[]
  /** The machine whose rows are read, in a log of several. */
  readonly device: Device | undefined
  /** Decimal mark of columns that leave it open. */
  readonly fallback: DecimalMark
  /** That of powers whose cells would be thousandths of what a machine draws. */
  readonly thousands: Thousands | undefined
  /** What the user should know of the choice. */
  readonly notes: readonly Repair[]
}

/**
 * Chooses the columns of a log: those that the user named, else by unit and name (see `chooseColumn`, `chooseTime`).
 *
 * @throws InputError `column-unknown`, `column-ambiguous`, `column-unit`, `power-missing`, `time-unreadable`
 */
export function chooseColumns(table: Header, options: FormulaOptions): ChosenColumns {
  const device = chooseDevice(table, options.device)
  const header = rowsOfDevice(table, device)
  const fallback = fallbackMark(header)
  const time = chooseTime(header, fallback, options.time)
  const power = choosePower(header, options.power, options.formulas?.get(options.power ?? ''))
  const own = ownColumns(header, power)
  const part = partOfPower(power.column, own.columns)
  const temperatures = chooseTemperatures(
    options.temperature === undefined ? own : header,
    part,
    options.temperature,
  )
  const parts = chooseParts(own, power)
  const reasons = chooseReasons(own, part, options.reasonBits)
  const series = [
    ...asSeries('temperature', [temperatures.chosen]),
    ...asSeries('sensor', temperatures.others),
    ...asSeries('clock', [chooseClock(options.clock === undefined ? own : header, part, options.clock)]),
    ...asSeries('limit', [chooseLimit(own, part, power)]),
    ...asSeries('use', [chooseUse(own, part)]),
    ...asSeries('processor', [parts?.processor]),
    ...asSeries('graphics', [parts?.graphics]),
    ...asSeries('rate', [chooseRate(header, options)]),
    ...(reasons.series === undefined ? [] : [reasons.series]),
  ]
  const assumed = noteAssumedUnits(header, { time, power, series })
  return {
    device,
    fallback,
    thousands: findThousands(header, power, series),
    time,
    power,
    series,
    notes: [...noteAverage(header, power), ...noteFormula(header, power), ...assumed, ...reasons.notes],
  }
}

/** Decimal mark of a column whose cells leave it open. */
export function fallbackOf({ fallback, thousands }: ChosenColumns, index: number): DecimalMark {
  return thousands?.indices.includes(index) === true ? thousands.mark : fallback
}

function asSeries(quantity: Quantity, columns: readonly (MeasuredColumn | undefined)[]): SeriesColumn[] {
  return columns.filter((column) => column !== undefined).map((column) => ({ quantity, ...column }))
}

/** Units that were taken by convention or by the values, because neither header nor cells name one. */
function noteAssumedUnits(
  header: Header,
  { time, power, series }: Pick<ChosenColumns, 'time' | 'power' | 'series'>,
): Repair[] {
  const temperatures = series.filter(({ quantity }) => quantity === 'temperature')
  const unnamed = [power, ...temperatures].filter(
    ({ column, unit }) =>
      column.unit === undefined && unitOfCells(header, column, [unit.dimension]) === undefined,
  )
  const timeless =
    time?.unitAssumed && time.unit !== undefined ? [{ column: time.columns[0]!, unit: time.unit }] : []
  return [...timeless, ...unnamed].map(({ column, unit }) =>
    noteOf(header, 'unit-assumed', `column "${column.header}" names no unit; taken as ${unit.symbol}`),
  )
}

/** The power is logged twice, as an instant and as a mean of its interval. */
function noteAverage(header: Header, { column, unit }: MeasuredColumn): Repair[] {
  const instants = measuredColumns(header, [unit.dimension]).filter(
    (other) => INSTANT.test(other.column.name) && bare(other.column.name) === bare(column.name),
  )
  if (instants.length === 0 || INSTANT.test(column.name)) return []
  const detail = `"${instants[0]!.column.header}" is the same power at single instants; the mean "${column.header}" is used`
  return [noteOf(header, 'mean-preferred', detail)]
}

/** What a formula was made of, in which units: a slip by a thousand shows here. */
function noteFormula(header: Header, { formula }: MeasuredColumn): Repair[] {
  return formula === undefined
    ? []
    : [noteOf(header, 'formula', `power is worked out: ${sayFormula(formula)}`)]
}

function noteOf({ line }: Header, kind: string, detail: string): Repair {
  return { kind, count: 1, firstLine: line > 0 ? line : null, detail }
}

/** Decimal mark of the file as a whole: decided by all cells of the first rows; a comma only where it doesn't delimit. */
function fallbackMark(header: Header): DecimalMark {
  const numeric = header.rows.flat().filter((cell) => /^\s*[-+]?[\d.,]+\s*$/.test(cell))
  const open = numeric.some((cell) => cell.includes(',')) && !numeric.some((cell) => cell.includes('.'))
  return findDecimalMark(
    numeric.map((cell) => cell.trim()),
    open && header.delimiter !== ',' ? ',' : '.',
  )
}
