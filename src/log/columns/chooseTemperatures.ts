import { parseUnit, type Unit } from '../../units.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { chooseColumn, findNamedColumn } from './chooseColumn.js'
import type { MachinePart } from './machinePart.js'
import {
  holdsNumbers,
  type MeasuredColumn,
  measuredColumns,
  unitOfCells,
  wrongUnit,
} from './measuredColumn.js'

interface Temperatures {
  readonly chosen: MeasuredColumn | undefined
  readonly others: readonly MeasuredColumn[]
}

/**
 * Temperatures of a log: first the one that stands for the chip (named by the user, or by rank), then the others, each numbered
 * family as one. A column that is named for a temperature and names no unit is read in the one that its values fit.
 *
 * @param part - what the chosen power belongs to
 */
export function chooseTemperatures(
  header: Header,
  part: MachinePart,
  asked: string | undefined,
): Temperatures {
  const measured = measuredColumns(header, ['temperature'])
  const named = header.columns
    .filter(
      ({ unit, name, index }) => unit === undefined && TEMPERATURE_WORD.test(name) && !isIn(measured, index),
    )
    .filter((column) => holdsNumbers(header, column))
    .map((column) => ({ column, unit: unitByValues(header, column) }))
    .filter((column): column is MeasuredColumn => column.unit !== undefined)
  const chosen =
    asked === undefined ? (chosenOf(measured, part) ?? chosenOf(named, part)) : namedColumn(header, asked)
  const taken = chosen === undefined ? [] : [chosen.column, ...(chosen.siblings ?? [])]
  const others = familiesOf(
    [...measured, ...named].filter(
      ({ column }) => !NO_READING.test(column.name) && !taken.some(({ index }) => index === column.index),
    ),
  )
  return { chosen, others: others.slice(0, MOST_OTHERS) }
}

const TEMPERATURE_WORD = /temp/
// Bounds and statistics: no sensor's reading.
const NO_READING =
  /limit|distance|margin|\bcrit|throttl|target|\btcc\b|trip|threshold|headroom|offset|\b(avg|average|mean|min|minimum|max|maximum)\b/
// Further sensors that are kept: each costs memory, and few tell anything.
const MOST_OTHERS = 5

function isIn(measured: readonly MeasuredColumn[], index: number): boolean {
  return measured.some(({ column }) => column.index === index)
}

function chosenOf(pool: readonly MeasuredColumn[], part: MachinePart): MeasuredColumn | undefined {
  const withUnits = pool.map(({ column, unit }) => (column.unit ? column : { ...column, unit }))
  const [first, ...siblings] = chooseColumn('temperature', withUnits, part)
  const chosen = pool.find(({ column }) => column.index === first?.index)
  return chosen === undefined || siblings.length === 0 ? chosen : { ...chosen, siblings }
}

function namedColumn(header: Header, asked: string): MeasuredColumn {
  const column = findNamedColumn('temperature', asked, header.columns)
  const unit =
    column.unit ?? unitOfCells(header, column, ['temperature']) ?? unitByValues(header, column) ?? CELSIUS
  if (unit.dimension !== 'temperature') throw wrongUnit('temperature', column, 'degC')
  return { column, unit }
}

const CELSIUS = parseUnit('degC')!
// What a silicon sensor reads, in the units that loggers leave out. The first that fits; Fahrenheit can't be told from
// Celsius, and is not guessed.
const RANGES: readonly (readonly [Unit, number, number])[] = [
  [CELSIUS, -60, 200],
  [parseUnit('K')!, 213, 473],
  [parseUnit('m°C')!, 1000, 200_000],
]

/** The unit in which most numbers of the head are temperatures of a chip; undefined when there is none. */
function unitByValues(header: Header, { index }: Column): Unit | undefined {
  const values = header.rows
    .map((row) => Number((row[index] ?? '').slice(0, LONGEST_NUMBER).replace(',', '.')))
    .filter((value) => value !== 0 && !Number.isNaN(value))
  if (values.length === 0) return CELSIUS
  return RANGES.find(
    ([, low, high]) => values.filter((value) => value >= low && value <= high).length > 0.8 * values.length,
  )?.[0]
}

const LONGEST_NUMBER = 40

/** `Core 0`, `Core 1` … as one. */
function familiesOf(columns: readonly MeasuredColumn[]): MeasuredColumn[] {
  const families = new Map<string, MeasuredColumn[]>()
  for (const measured of columns) {
    const key = `${measured.column.name.replace(/\d+/g, '#')} ${measured.unit.symbol}`
    families.set(key, [...(families.get(key) ?? []), measured])
  }
  return [...families.values()].map(([first, ...rest]) =>
    rest.length === 0 ? first! : { ...first!, siblings: rest.map(({ column }) => column) },
  )
}
