import { InputError } from '../../errors.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { plainText } from '../table/plainText.js'
import { listColumns } from './chooseColumn.js'

/** The machine of a log of several whose rows are read. */
export interface Device {
  readonly column: Column
  readonly value: string
  /** The other machines in the first rows. */
  readonly others: readonly string[]
}

/**
 * Finds the column that tells several machines apart, which write their rows in turn, and the one that the user named.
 *
 * @param asked - the machine, as its cell says
 * @returns undefined for a log of one machine
 * @throws InputError `device-needed`, `device-unknown`, `device-column-missing`
 */
export function chooseDevice(header: Header, asked: string | undefined): Device | undefined {
  const named = header.columns.filter((column) => column.unit === undefined && isIdentity(column.name))
  const inTurn = named.filter((column) => areInTurn(cellsOf(header, column)))
  if (asked === undefined) {
    if (inTurn[0] !== undefined) throw needed(inTurn[0], valuesOf(header, inTurn[0]))
    return undefined
  }
  const value = asked.trim()
  const column = [...inTurn, ...named].find((each) => valuesOf(header, each).includes(value))
  if (column !== undefined) {
    const others = valuesOf(header, column).filter((other) => other !== value)
    return { column, value, others }
  }
  if (named[0] === undefined) throw columnMissing(value, header)
  throw unknown(value, named[0], valuesOf(header, inTurn[0] ?? named[0]))
}

/** The header with the rows of that machine alone. */
export function rowsOfDevice(header: Header, device: Device | undefined): Header {
  if (device === undefined) return header
  const rows = header.rows.filter((row) => (row[device.column.index] ?? '').trim() === device.value)
  return { ...header, rows }
}

const IDENTITY =
  /^(device|dev|index|idx|gpu|card|machine|host|hostname|node|unit|board|slot|channel|chip|socket|id|serial|uuid|bus|port|outlet|accelerator|system|name|number|no|nr|num)$/
// More than this in the head number rows, not machines.
const MOST_DEVICES = 40
const MOST_LISTED = 16
// Rows in turn of all that could be: loggers skip a machine now and then.
const LEAST_IN_TURN = 0.8

function isIdentity(name: string): boolean {
  return name !== '' && name.split(' ').every((word) => IDENTITY.test(word))
}

function cellsOf(header: Header, { index }: Column): string[] {
  return header.rows.map((row) => (row[index] ?? '').trim()).filter((cell) => cell !== '')
}

function valuesOf(header: Header, column: Column): string[] {
  return [...new Set(cellsOf(header, column))]
}

/** Between two rows of one machine stand rows of others, each at most once. */
function areInTurn(cells: readonly string[]): boolean {
  const last = new Map<string, number>()
  let [inTurn, not] = [0, 0]
  cells.forEach((cell, row) => {
    const before = last.get(cell)
    last.set(cell, row)
    if (before === undefined) return
    const between = cells.slice(before + 1, row)
    if (between.length > 0 && new Set(between).size === between.length) inTurn++
    else not++
  })
  return last.size > 1 && last.size <= MOST_DEVICES && inTurn > LEAST_IN_TURN * (inTurn + not)
}

function listed(values: readonly string[]): string {
  const shown = values.slice(0, MOST_LISTED).map((value) => plainText(value, 40))
  return shown.join(', ') + (values.length > shown.length ? ` and ${values.length - shown.length} more` : '')
}

function needed(column: Column, values: readonly string[]): InputError {
  return new InputError(
    'device-needed',
    `the log holds ${values.length} machines in turn, by its column "${column.header}": ${listed(values)}`,
    { remedy: `pick one with --device ${plainText(values[0]!, 40)}` },
  )
}

function unknown(value: string, column: Column, values: readonly string[]): InputError {
  return new InputError(
    'device-unknown',
    `no machine "${plainText(value, 40)}" in the column "${column.header}"`,
    {
      remedy: `choose one of: ${listed(values)}`,
    },
  )
}

function columnMissing(value: string, header: Header): InputError {
  return new InputError(
    'device-column-missing',
    `expected a column that tells machines apart to find "${plainText(value, 40)}", got ${listColumns(header.columns)}`,
    { remedy: 'leave --device out: the log is of one machine' },
  )
}
