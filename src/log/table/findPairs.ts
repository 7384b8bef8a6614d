import { parseUnit } from '../../units.js'
import { type Column, describeColumn } from './describeColumn.js'
import { DELIMITERS, type Delimiter } from './recordScanner.js'
import { splitRecords } from './splitRecords.js'

/** The columns of such a table, as `findHeader` tells those of any other: its header stands on no line. */
export interface Pairs {
  readonly delimiter: Delimiter
  readonly line: 0
  readonly unitsLine: null
  readonly cells: readonly string[]
  readonly columns: readonly Column[]
  readonly rows: readonly (readonly string[])[]
}

/**
 * A table without a header whose lines are pairs of name and value (`Time,12:00:01,Watts,5.2,Volts,230.1`): every second cell is a
 * column, named by the cell before it.
 *
 * @param head - first lines of the log
 * @returns undefined when the lines are no such pairs, or none is a power
 */
export function findPairs(head: string): Pairs | undefined {
  for (const delimiter of DELIMITERS) {
    const found = head.includes(delimiter) ? pairsIn(head, delimiter) : undefined
    if (found !== undefined) return found
  }
  return undefined
}

// Lines alike that make a table, and the share of those that follow the first that must be.
const LEAST_ROWS = 2
const LEAST_SHARE = 0.6

function pairsIn(head: string, delimiter: Delimiter): Pairs | undefined {
  const records: (readonly string[])[] = []
  splitRecords(head, delimiter, (cells) => records.push(cells))
  const start = records.findIndex((cells) => namesOf(cells) !== undefined)
  const names = start < 0 ? undefined : namesOf(records[start]!)
  if (names === undefined) return undefined
  const key = names.join('\n')
  const after = records.slice(start)
  const rows = after.filter((cells) => namesOf(cells)?.join('\n') === key)
  if (rows.length < LEAST_ROWS || rows.length < LEAST_SHARE * after.length) return undefined
  const cells = records[start]!.map((_, index) => (index % 2 === 1 ? names[(index - 1) / 2]! : ''))
  const columns = cells.map((cell, index) => describeColumn(cell, index))
  const hasPower = columns.some(({ unit }) => unit?.dimension === 'power' || unit?.dimension === 'energy')
  return hasPower ? { delimiter, line: 0, unitsLine: null, cells, columns, rows } : undefined
}

/** Names of a line's pairs; undefined when it is not made of pairs, some of them numbers. */
function namesOf(cells: readonly string[]): string[] | undefined {
  if (cells.length < 4 || cells.length % 2 === 1) return undefined
  const names = cells.filter((_, index) => index % 2 === 0).map((cell) => cell.trim())
  const values = cells.filter((_, index) => index % 2 === 1)
  const named = names.every((name) => name.length < LONGEST_NAME && /^\p{L}/u.test(name))
  const numbers = values.filter((value) => /^\s*[-+]?[\d.,]*\d/.test(value)).length
  return named && numbers >= 2 && names.some((name) => parseUnit(name) !== undefined || /power/i.test(name))
    ? names
    : undefined
}

const LONGEST_NAME = 80
