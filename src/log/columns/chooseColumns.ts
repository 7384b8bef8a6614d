import { InputError } from '../../errors.js'
import { parseUnit, type Unit } from '../../units.js'
import { unitInCell } from '../table/cellParser.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { type DecimalMark, findDecimalMark } from '../table/parseNumber.js'
import type { LogOptions, Repair } from '../trace.js'
import { chooseColumn, findNamedColumn, listColumns, type Wanted } from './chooseColumn.js'
import { chooseTime, type TimeSource } from './chooseTime.js'

/** The columns that a log is read from. */
export interface ChosenColumns {
  readonly time: TimeSource | undefined
  readonly power: MeasuredColumn
  readonly temperature: MeasuredColumn | undefined
  readonly clock: MeasuredColumn | undefined
  /** Decimal mark of columns that leave it open. */
  readonly fallback: DecimalMark
}

export interface MeasuredColumn {
  readonly column: Column
  readonly unit: Unit
  /** The other columns of a numbered family: the hottest core counts, and the mean of the clocks. */
  readonly siblings?: readonly Column[]
}

/**
 * Chooses the columns of a log: those that the user named, else by unit and name (see `chooseColumn`, `chooseTime`).
 *
 * @throws InputError `column-unknown`, `column-ambiguous`, `column-unit`, `power-missing`, `time-unreadable`
 */
export function chooseColumns(header: Header, options: LogOptions): ChosenColumns {
  const fallback = fallbackMark(header)
  return {
    fallback,
    time: chooseTime(header, fallback, options.time),
    power: powerColumn(header, options.power),
    temperature: optionalColumn(header, 'temperature', options.temperature),
    clock: optionalColumn(header, 'clock', options.clock),
  }
}

/** Units that were taken by convention, because neither header nor cells name one. */
export function noteAssumedUnits(header: Header, { time, power, temperature }: ChosenColumns): Repair[] {
  const notes: Repair[] = []
  const note = (column: Column, symbol: string) =>
    notes.push({
      kind: 'unit-assumed',
      count: 1,
      firstLine: header.line,
      detail: `column "${column.header}" names no unit; taken as ${symbol}`,
    })
  const unnamed = (measured: MeasuredColumn | undefined, dimension: Unit['dimension']) =>
    measured !== undefined &&
    measured.column.unit === undefined &&
    unitOfCells(header, measured.column, [dimension]) === undefined
  if (time?.unitAssumed) note(time.columns[0]!, 's')
  if (unnamed(power, power.unit.dimension)) note(power.column, 'W')
  if (temperature !== undefined && unnamed(temperature, 'temperature')) note(temperature.column, '°C')
  return notes
}

const CONVENTION = { power: parseUnit('W')!, temperature: parseUnit('degC')! }
const POWER_WORD =
  /power|watt|leistung|puissance|potencia|potenza|moc\b|effekt|мощность|功率|電力|电力|package|pkg/
const TEMPERATURE_WORD = /temp/

/** Decimal mark of the file as a whole: decided by all cells of the first rows; a comma only where it doesn't delimit. */
function fallbackMark(header: Header): DecimalMark {
  const numeric = header.rows.flat().filter((cell) => /^\s*[-+]?[\d.,]+\s*$/.test(cell))
  const open = numeric.some((cell) => cell.includes(',')) && !numeric.some((cell) => cell.includes('.'))
  return findDecimalMark(
    numeric.map((cell) => cell.trim()),
    open && header.delimiter !== ',' ? ',' : '.',
  )
}

function holdsNumbers(header: Header, column: Column): boolean {
  return header.rows.some((row) => /\d/.test(row[column.index] ?? ''))
}

function unitOfCells(
  header: Header,
  column: Column,
  dimensions: readonly Unit['dimension'][],
): Unit | undefined {
  for (const row of header.rows) {
    for (const dimension of dimensions) {
      const unit = unitInCell(row[column.index] ?? '', dimension)
      if (unit !== undefined) return unit
    }
  }
  return undefined
}

function powerColumn(header: Header, asked: string | undefined): MeasuredColumn {
  const dimensions = ['power', 'energy'] as const
  if (asked !== undefined) {
    const column = findNamedColumn('power', asked, header.columns)
    const unit = column.unit ?? unitOfCells(header, column, dimensions) ?? CONVENTION.power
    if (unit.dimension !== 'power' && unit.dimension !== 'energy') throw wrongUnit('power', column, 'W or J')
    return { column, unit }
  }
  const measured = candidates(header, dimensions)
  const named = header.columns
    .filter(
      (column) =>
        column.unit === undefined && POWER_WORD.test(column.name) && !/%|percent/.test(column.header),
    )
    .filter(
      (column) =>
        holdsNumbers(header, column) && !measured.some((other) => other.column.index === column.index),
    )
    .map((column) => ({ column, unit: CONVENTION.power }))
  const pool = measured.length > 0 ? measured : named
  const [chosen] = chooseColumn(
    'power',
    pool.map(({ column, unit }) => (column.unit ? column : { ...column, unit })),
  )
  if (chosen === undefined) {
    throw new InputError(
      'power-missing',
      `found no column that is a power, among ${listColumns(header.columns)}`,
      {
        where: { line: header.line },
        remedy: 'pick the column with --power "NAME"',
      },
    )
  }
  return pool.find(({ column }) => column.index === chosen.index)!
}

/** Columns of some dimensions that hold numbers, by the unit in the header or else in the cells. */
function candidates(header: Header, dimensions: readonly Unit['dimension'][]): MeasuredColumn[] {
  const found: MeasuredColumn[] = []
  for (const column of header.columns) {
    if (column.unit !== undefined && !dimensions.includes(column.unit.dimension)) continue
    if (!holdsNumbers(header, column)) continue
    const unit = column.unit ?? unitOfCells(header, column, dimensions)
    if (unit !== undefined) found.push({ column, unit })
  }
  return found
}

function optionalColumn(
  header: Header,
  wanted: 'temperature' | 'clock',
  asked: string | undefined,
): MeasuredColumn | undefined {
  const dimension = wanted === 'clock' ? 'frequency' : 'temperature'
  if (asked !== undefined) {
    const column = findNamedColumn(wanted, asked, header.columns)
    const assumed = wanted === 'temperature' ? CONVENTION.temperature : undefined
    const unit = column.unit ?? unitOfCells(header, column, [dimension]) ?? assumed
    if (unit?.dimension !== dimension) throw wrongUnit(wanted, column, wanted === 'clock' ? 'MHz' : 'degC')
    return { column, unit }
  }
  const pool = candidates(header, [dimension])
  if (pool.length === 0 && wanted === 'temperature') {
    const named = header.columns.filter(
      (column) => column.unit === undefined && TEMPERATURE_WORD.test(column.name),
    )
    pool.push(
      ...named
        .filter((column) => holdsNumbers(header, column))
        .map((column) => ({ column, unit: CONVENTION.temperature })),
    )
  }
  const [first, ...siblings] = chooseColumn(
    wanted,
    pool.map(({ column, unit }) => (column.unit ? column : { ...column, unit })),
  )
  const chosen = pool.find(({ column }) => column.index === first?.index)
  return chosen === undefined || siblings.length === 0 ? chosen : { ...chosen, siblings }
}

function wrongUnit(wanted: Wanted, column: Column, needed: string): InputError {
  const came = column.unit === undefined ? 'no unit' : column.unit.symbol
  return new InputError(
    'column-unit',
    `needed a ${wanted} column in ${needed}, got "${column.header}" in ${came}`,
    {
      remedy: `choose another with --${wanted} "NAME", or name the unit in the header`,
    },
  )
}
