import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { warnOfRepairs } from '../../src/machine/warnOfRepairs.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { type Dialect, PLAIN_DIALECT } from '../worlds/dialect.js'
import type { LogTable } from '../worlds/logger.js'
import { randomStream } from '../worlds/randomStream.js'
import { writeDialect } from '../worlds/writeDialect.js'
import { randomTable } from './randomTable.js'

// What must not change an answer, and what must not pass unnoticed.

/** A small log with as many digits as every dialect can write. */
function tableOf(seed: number): LogTable {
  const table = randomTable(randomStream(seed))
  return { ...table, powerW: table.powerW.map((watts) => Number(watts.toFixed(3))) }
}

const write = (table: LogTable, dialect: Partial<Dialect>, seed = 1) =>
  writeDialect(table, { ...PLAIN_DIALECT, powerName: 'Package power [W]', ...dialect }, randomStream(seed))

const answer = (log: Uint8Array | string) => findLoads(parseLog(log).trace)
const asText = (table: LogTable, dialect: Partial<Dialect> = {}) =>
  new TextDecoder().decode(write(table, dialect))
const seeds = fc.integer({ min: 1, max: 1_000_000 })

/** Equal in every word, and in every number to a part in a million: times in other forms are rounded otherwise. */
function expectSame(now: unknown, then: unknown): void {
  const rounded = (value: unknown) =>
    JSON.stringify(value, (_key, inner: unknown) =>
      typeof inner === 'number' ? Number(inner.toPrecision(6)) : inner,
    )
  if (rounded(now) === rounded(then)) return
  const [a, b] = [numbersIn(now), numbersIn(then)]
  expect(a.length).toBe(b.length)
  for (const [i, number] of a.entries())
    expect(Math.abs(number - b[i]!)).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(b[i]!)))
}

function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : []
}

describe('the same answer comes', () => {
  const exactly: readonly (readonly [string, (text: string) => string | Uint8Array])[] = [
    ['with CRLF line ends', (text) => text.replaceAll('\n', '\r\n')],
    ['with CR line ends', (text) => text.replaceAll('\n', '\r')],
    [
      'with line ends mixed',
      (text) => text.replace(/\n/g, (_, at: number) => (at % 3 === 0 ? '\r\n' : '\n')),
    ],
    ['without a line end at the end', (text) => text.trimEnd()],
    ['with a byte order mark', (text) => `\ufeff${text}`],
    ['with every cell in quotes', (text) => text.replace(/[^,\n]+/g, '"$&"')],
    ['with blanks around every cell', (text) => text.replace(/[^,\n]+/g, ' $& ')],
    ['with blank lines', (text) => text.replace(/\n(?=\d+5\.)/g, '\n\n')],
    [
      'with the header again in the middle',
      (text) => text.replace(/\n(?=40\.000)/, `\n${text.split('\n')[0]}\n`),
    ],
    [
      'with columns of no meaning',
      (text) => text.replace(/\n|^/g, '$&x,').replace('x,', 'note,').replace(/x,$/, ''),
    ],
    [
      'with the columns in another order',
      (text) =>
        text
          .split('\n')
          .map((line) => line.split(',').reverse().join(','))
          .join('\n'),
    ],
    [
      'with prototype names beside',
      (text) =>
        text
          .split('\n')
          .map((line, i) => (line === '' ? line : `${line},${i === 0 ? '__proto__' : '7'}`))
          .join('\n'),
    ],
    ['with statistics at the end', (text) => `${text}Minimum,3.2,25\nMaximum,120.5,80\nAverage,55.1,60\n`],
  ]

  it.each(exactly)('%s', (_how, change) => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const text = asText(tableOf(seed))
        const then = answer(text)
        expect(then.length).toBeGreaterThan(0)
        expect(answer(change(text))).toEqual(then)
      }),
      { numRuns: 6 },
    )
  })

  const forms: readonly (readonly [string, Partial<Dialect>])[] = [
    ['from semicolons with decimal commas', { delimiter: ';', decimalComma: true }],
    ['from tabs', { delimiter: '\t' }],
    ['from UTF-16', { encoding: 'utf-16le' }],
    ['from Windows-1252', { encoding: 'windows-1252' }],
    ['from milliwatts', { power: 'mW', powerName: 'Package power [mW]' }],
    ['from kilowatts', { power: 'kW', powerName: 'Package power [kW]' }],
    ['from degrees Fahrenheit', { temperature: 'F' }],
    ['from milliseconds', { time: 'elapsed-ms' }],
    ['from microseconds', { time: 'elapsed-us' }],
    ['from epoch milliseconds', { time: 'epoch-ms' }],
    ['from stamps in UTC', { time: 'iso-utc' }],
    ['from stamps in another time zone', { time: 'iso-offset' }],
    ['from local stamps', { time: 'iso-local' }],
    [
      'from a time of day that passes midnight',
      { time: 'time-of-day', startEpochS: Math.ceil(1741032900 / 86_400) * 86_400 - 40 },
    ],
    ['from date and time in two columns', { time: 'ymd-two-columns' }],
    ['from days before months', { time: 'dmy-one-column' }],
  ]

  it.each(forms)('%s', (_how, dialect) => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const table = tableOf(seed)
        expectSame(answer(write(table, dialect)), answer(write(table, {})))
      }),
      { numRuns: 5 },
    )
  })
})

describe('what breaks the data', () => {
  /** Refused, or told of: never silent. */
  const told = (text: string): boolean => {
    try {
      const log = parseLog(text)
      return warnOfRepairs(log, 'log.csv').length > 0 || findLoads(log.trace).length === 0
    } catch (error) {
      if (error instanceof InputError) return true
      throw error
    }
  }
  const rows = (text: string, change: (row: string, i: number) => string) =>
    text
      .split('\n')
      .map((row, i) => (i === 0 || row === '' ? row : change(row, i)))
      .join('\n')

  it.each<readonly [string, (text: string) => string]>([
    [
      'a third of the powers is text',
      (text) => rows(text, (row, i) => (i % 3 === 0 ? row.replace(/,[^,]*/, ',off') : row)),
    ],
    [
      'half of the powers overflow',
      (text) => rows(text, (row, i) => (i % 2 === 0 ? row.replace(/,[^,]*/, ',1e308') : row)),
    ],
    [
      'half of the powers are negative',
      (text) => rows(text, (row, i) => (i % 2 === 0 ? row.replace(/,/, ',-') : row)),
    ],
    ['all powers are zero', (text) => rows(text, (row) => row.replace(/,[^,]*/, ',0'))],
    ['every time is the same', (text) => rows(text, (row) => row.replace(/^[^,]*/, '5'))],
    [
      'rows come in no order',
      (text) => {
        const [header, ...lines] = text.trimEnd().split('\n')
        return [header, ...randomStream(3).shuffle(lines)].join('\n')
      },
    ],
  ])('is refused or told of when %s', (_how, change) => {
    fc.assert(
      fc.property(seeds, (seed) => {
        expect(told(change(asText(tableOf(seed))))).toBe(true)
      }),
      { numRuns: 6 },
    )
  })

  it('and a sound log is not cried wolf over', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        expect(warnOfRepairs(parseLog(asText(tableOf(seed))), 'log.csv')).toEqual([])
      }),
      { numRuns: 20 },
    )
  })
})
