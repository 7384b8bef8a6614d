import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { afterAll, describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { readLog } from '../../src/files/readLog.js'
import { LogParser, type ParserOptions } from '../../src/log/logParser.js'
import { parseLog } from '../../src/log/parseLog.js'
import type { ParsedLog } from '../../src/log/trace.js'

const parseIn = (pieces: readonly Uint8Array[], options: ParserOptions = {}): ParsedLog => {
  const parser = new LogParser(options)
  for (const piece of pieces) parser.push(piece)
  return parser.finish()
}

const resultOf = (parse: () => ParsedLog): unknown => {
  try {
    return parse()
  } catch (error) {
    if (error instanceof InputError) return { code: error.code, message: error.message, ...error.details }
    throw error
  }
}

const encode = (text: string, encoding: string): Uint8Array => {
  if (encoding === 'utf-16le') return Buffer.from(`\ufeff${text}`, 'utf16le')
  if (encoding === 'utf-16be') return Buffer.from(`\ufeff${text}`, 'utf16le').swap16()
  if (encoding === 'windows-1252') return Buffer.from(text, 'latin1')
  return Buffer.from(encoding === 'utf-8 with a mark' ? `\ufeff${text}` : text, 'utf8')
}

const cut = (bytes: Uint8Array, places: readonly number[]): Uint8Array[] => {
  const edges = [0, ...places.map((place) => place % (bytes.length + 1)), bytes.length].sort((a, b) => a - b)
  return edges.slice(1).map((end, i) => bytes.slice(edges[i]!, end))
}

describe('a log in pieces', () => {
  const cell = fc.constantFrom(
    '5',
    '44.125',
    '1.234,5',
    '12:00:01',
    '"7"',
    '"a\nb"',
    '"x ""y"""',
    '"open',
    '°C',
    'N/A',
    '',
    ' 3 ',
  )
  const row = fc.oneof(
    fc.nat(99).map((n) => ['12:00:'.concat(String(n % 60).padStart(2, '0')), String(40 + n), '50.5']),
    fc.array(cell, { minLength: 1, maxLength: 4 }),
  )
  const table = fc.record({
    rows: fc.array(row, { minLength: 2, maxLength: 60 }),
    delimiter: fc.constantFrom(',', ';', '\t', '|'),
    end: fc.constantFrom('\n', '\r\n', '\r'),
    encoding: fc.constantFrom('utf-8', 'utf-8 with a mark', 'windows-1252', 'utf-16le', 'utf-16be'),
    places: fc.array(fc.nat(), { maxLength: 40 }),
  })

  it('gives the same result wherever it is cut, in every encoding, with every delimiter and line end', () => {
    fc.assert(
      fc.property(table, ({ rows, delimiter, end, encoding, places }) => {
        const header = ['Time', 'Power [W]', 'Temp [°C]']
        const text = [header, ...rows].map((cells) => cells.join(delimiter)).join(end)
        const bytes = encode(text, encoding)
        const whole = resultOf(() => parseLog(bytes))
        expect(resultOf(() => parseIn(cut(bytes, places)))).toEqual(whole)
        // The text itself gives what its bytes give.
        if (encoding === 'utf-8') expect(resultOf(() => parseLog(text))).toEqual(whole)
      }),
      { numRuns: 300 },
    )
  })

  it('gives the same result byte by byte, beyond the part where the header is looked for', () => {
    const rows = Array.from({ length: 9000 }, (_, i) => `${i},"${40 + (i % 7)}.5",50`)
    const bytes = Buffer.from(`time_s,power_w,temp_c\r\n${rows.join('\r\n')}\r\n`)
    const bit = Array.from(bytes, (_, i) => bytes.subarray(i, i + 1))
    expect(parseIn(bit)).toEqual(parseLog(bytes))
  })

  it('plain figures read from bytes are what the language makes of their text', () => {
    const number = fc.oneof(
      fc.tuple(fc.nat(999_999_999), fc.integer({ min: 0, max: 9 })).map(([n, k]) => (n / 10 ** k).toFixed(k)),
      fc.double({ min: 0, max: 1000, noNaN: true }).map(String),
    )
    fc.assert(
      fc.property(fc.array(number, { minLength: 3, maxLength: 20 }), (numbers) => {
        const text = `time_s,power_mw,note\n${numbers.map((n, i) => `${i},${n},a`).join('\n')}`
        const expected = numbers.map((n) => Number(n) * 1e-3).filter((w) => w <= 100_000)
        const log = resultOf(() => parseLog(text)) as ParsedLog
        if (expected.length === numbers.length && log.trace)
          expect(Array.from(log.trace.powerW)).toEqual(expected)
      }),
    )
  })
})

describe('a log that is too long to be held', () => {
  const rows = (count: number, of: (i: number) => string): string =>
    Array.from({ length: count }, (_, i) => of(i)).join('\n')
  const energyJ = ({ trace: { timesS, powerW } }: ParsedLog): number => {
    let sum = 0
    for (let i = 1; i < timesS.length; i++) sum += powerW[i]! * (timesS[i]! - timesS[i - 1]!)
    return sum
  }
  const bytes = (text: string) => Buffer.from(text)

  it('is averaged by twos, fours, eights, with its energy kept and the cells reported', () => {
    const step = (i: number) => i + 0.2 * Math.sin(i)
    const text = `time_s,power_w,temp_c\n${rows(5000, (i) => `${step(i).toFixed(3)},${(50 + 20 * Math.sin(i / 50)).toFixed(3)},${40 + (i % 5)}`)}`
    const whole = parseIn([bytes(text)])
    const short = parseIn([bytes(text)], { mostRows: 700 })
    expect(short.trace.timesS.length).toBeLessThanOrEqual(700)
    expect(short.repairs).toMatchObject([{ kind: 'averaged', count: 8 }])
    expect(short.trace.intervalS).toBeCloseTo(8, 0)
    expect(short.trace.timesS.length).toBeLessThan(5000 / 8 + 20)
    expect(short.trace.timesS.at(-1)).toBeCloseTo(whole.trace.timesS.at(-1)!, 6)
    expect(energyJ(short) / energyJ(whole)).toBeCloseTo(1, 12)
    expect(short.trace.temperatureC!.every((c) => c >= 40 && c <= 44)).toBe(true)
  })

  it('keeps what has to be mended: a gap, a time twice, a counter that wraps', () => {
    const at = (i: number) => (i < 1500 ? i : i + 3600)
    const counter = (i: number) => (i * 50 + 100_000) % 262_143.32885
    const text = `time_s,energy_j\n${rows(4000, (i) => `${i === 2001 ? at(2000) : at(i)},${counter(i).toFixed(3)}`)}`
    const short = parseIn([bytes(text)], { mostRows: 500 })
    expect(short.repairs.map(({ kind }) => kind)).toEqual(
      expect.arrayContaining(['averaged', 'gap', 'counter-wrap']),
    )
    expect(short.trace.timesS.length).toBeLessThanOrEqual(500)
    const powers = Array.from(short.trace.powerW)
    expect(Math.min(...powers.slice(0, 80))).toBeCloseTo(50, 6)
    expect(Math.max(...powers.slice(0, 80))).toBeCloseTo(50, 6)
  })

  it('follows stamps over midnight and keeps their time of day', () => {
    const stamp = (i: number) => new Date(Date.UTC(2026, 0, 1, 23, 0, 0) + i * 1000).toISOString()
    const text = `time,power_w\n${rows(8000, (i) => `${stamp(i)},50`)}`
    const short = parseIn([bytes(text)], { mostRows: 1000 })
    expect(short.trace.timesS.at(-1)).toBe(7999)
    expect(short.trace.startOfDayS).toBe(23 * 3600)
    expect(short.trace.powerW.every((power) => power === 50)).toBe(true)
  })

  it('is an error when its rows are in no order that could be averaged', () => {
    const text = `time_s,power_w\n${rows(3000, (i) => `${i < 100 ? i : 3100 - i},50`)}`
    expect(resultOf(() => parseIn([bytes(text)], { mostRows: 500 }))).toMatchObject({
      code: 'times-disordered',
    })
  })
})

describe('readLog', () => {
  const folder = mkdtempSync(join(tmpdir(), 'holdwatt-pieces-'))
  afterAll(() => rmSync(folder, { recursive: true }))

  it('reads a file in pieces and tells after each how much was read', async () => {
    const path = join(folder, 'long.csv')
    const text = `time_s,power_w\n${Array.from({ length: 200_000 }, (_, i) => `${i},${40 + (i % 9)}.25`).join('\n')}\n`
    writeFileSync(path, text)
    const told: number[] = []
    const { trace } = await readLog(path, { onBytes: (bytes) => told.push(bytes) })
    expect(trace).toEqual(parseLog(text).trace)
    expect(told).toEqual([2 ** 20, 2 * 2 ** 20, text.length])
  })
})
