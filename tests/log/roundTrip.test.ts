import fc from 'fast-check'
import { expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'

/** One way in which a logger may write its table. */
interface Dialect {
  readonly delimiter: ',' | ';' | '\t' | '|'
  readonly comma: boolean
  readonly end: '\n' | '\r\n' | '\r'
  readonly quoted: boolean
  readonly encoding: 'utf8' | 'utf8-mark' | 'utf16le' | 'utf16be' | 'latin1'
  readonly preamble: readonly string[]
  readonly time: keyof typeof TIMES
  readonly power: readonly [header: string, scale: number]
  readonly temperature: readonly [header: string, of: (celsius: number) => number] | null
  readonly clock: readonly [header: string, scale: number] | null
  readonly others: readonly string[]
  readonly order: readonly number[]
  readonly padded: boolean
  readonly repeatHeader: boolean
  readonly statistics: boolean
}

const START_S = Date.UTC(2026, 8, 23, 23, 58, 20) / 1000
const iso = (t: number) => new Date(Math.round((START_S + t) * 1000)).toISOString()
const clockOf = (t: number) => iso(t).slice(11, 23)
const dateOf = (t: number, pattern: string) => {
  const [year, month, day] = iso(t).slice(0, 10).split('-') as [string, string, string]
  return pattern.replace('YYYY', year).replace('MM', month).replace('DD', day)
}

/** Header(s) and cell(s) of each form of time; `number` cells follow the decimal mark. */
const TIMES = {
  seconds: [['Time [s]', (t: number) => t.toFixed(3), 'number']],
  milliseconds: [['elapsed_ms', (t: number) => (t * 1000).toFixed(0), 'number']],
  microseconds: [['t (µs)', (t: number) => (t * 1e6).toFixed(0), 'number']],
  minutes: [['Elapsed (min)', (t: number) => (t / 60).toFixed(8), 'number']],
  epoch: [['epoch_s', (t: number) => (START_S + t).toFixed(3), 'number']],
  epochMs: [['timestamp_ms', (t: number) => ((START_S + t) * 1000).toFixed(0), 'number']],
  iso: [['Timestamp', iso, 'text']],
  isoOffset: [['when', (t: number) => iso(t + 7200).replace('Z', '+02:00'), 'text']],
  ofDay: [['Uhrzeit', clockOf, 'text']],
  german: [
    ['Datum', (t: number) => dateOf(t, 'DD.MM.YYYY'), 'text'],
    ['Zeit', clockOf, 'text'],
  ],
  american: [['Date/Time', (t: number) => `${dateOf(t, 'MM/DD/YYYY')} ${clockOf(t)}`, 'text']],
  slashed: [['Time', (t: number) => `${dateOf(t, 'YYYY/MM/DD')} ${clockOf(t)}`, 'text']],
} as const satisfies Record<string, readonly (readonly [string, (t: number) => string, 'number' | 'text'])[]>

const POWER = [
  ['Package (W)', 1],
  ['power_w', 1],
  ['CPU Package Power [mW]', 1e-3],
  ['Total power, kW', 1e3],
  ['power_mw', 1e-3],
  ['Leistung [W]', 1],
] as const
const TEMPERATURE = [
  ['Temp (°C)', (c: number) => c],
  ['CPU [°F]', (c: number) => (c * 9) / 5 + 32],
  ['temp_millidegC', (c: number) => c * 1000],
  ['CPU temperature (K)', (c: number) => c + 273.15],
] as const
const CLOCK = [
  ['Clock (GHz)', 1e9],
  ['cpu_clock_mhz', 1e6],
  ['Core clock [kHz]', 1e3],
] as const
const OTHERS = [
  'Fan [rpm]',
  'Load [%]',
  'SSD [°C]',
  'GPU power [W]',
  'Core limit [W]',
  'Voltage (V)',
  'Memory clock [MHz]',
]

const samples = fc
  .array(
    fc.record({
      stepMs: fc.integer({ min: 300, max: 2000 }),
      powerMw: fc.integer({ min: 3000, max: 120_000 }),
      tenthC: fc.integer({ min: 200, max: 1000 }),
      mhz: fc.integer({ min: 400, max: 5500 }),
    }),
    { minLength: 12, maxLength: 90 },
  )
  .map((rows) => {
    let ms = 0
    return rows.map(({ stepMs, powerMw, tenthC, mhz }, i) => {
      ms += i === 0 ? 0 : stepMs
      return { t: ms / 1000, powerW: powerMw / 1000, celsius: tenthC / 10, hz: mhz * 1e6 }
    })
  })

const dialects: fc.Arbitrary<Dialect> = fc.record({
  delimiter: fc.constantFrom(',', ';', '\t', '|'),
  comma: fc.boolean(),
  end: fc.constantFrom('\n', '\r\n', '\r'),
  quoted: fc.boolean(),
  encoding: fc.constantFrom('utf8', 'utf8-mark', 'utf16le', 'utf16be', 'latin1'),
  preamble: fc.subarray([
    'Power log, balanced mode',
    '"Serial";"none"',
    '',
    'power: on; 5 readings',
    '# comment',
    'sep=;',
  ]),
  time: fc.constantFrom(...(Object.keys(TIMES) as (keyof typeof TIMES)[])),
  power: fc.constantFrom(...POWER),
  temperature: fc.option(fc.constantFrom(...TEMPERATURE)),
  clock: fc.option(fc.constantFrom(...CLOCK)),
  others: fc.subarray(OTHERS),
  order: fc.array(fc.nat(1000), { minLength: 16, maxLength: 16 }),
  padded: fc.boolean(),
  repeatHeader: fc.boolean(),
  statistics: fc.boolean(),
})

type Sample = { readonly t: number; readonly powerW: number; readonly celsius: number; readonly hz: number }
type WrittenColumn = readonly [header: string, cell: (sample: Sample) => string]

function columnsOf(dialect: Dialect): WrittenColumn[] {
  const decimal = (text: string) =>
    dialect.comma && dialect.delimiter !== ',' ? text.replace('.', ',') : text
  const columns: WrittenColumn[] = TIMES[dialect.time].map(([header, of, kind]) => [
    header,
    ({ t }) => (kind === 'number' ? decimal(of(t)) : of(t)),
  ])
  columns.push([
    dialect.power[0],
    ({ powerW }) => decimal((powerW / dialect.power[1]).toFixed(dialect.power[1] > 1 ? 6 : 3)),
  ])
  const { temperature, clock } = dialect
  if (temperature !== null)
    columns.push([temperature[0], ({ celsius }) => decimal(temperature[1](celsius).toFixed(2))])
  if (clock !== null) columns.push([clock[0], ({ hz }) => decimal((hz / clock[1]).toFixed(3))])
  for (const other of dialect.others) columns.push([other, ({ t }) => decimal((17 + (t % 5)).toFixed(1))])
  return columns
    .map((column, i) => ({ column, key: dialect.order[i]! }))
    .sort((a, b) => a.key - b.key)
    .map(({ column }) => column)
}

function writeLog(rows: readonly Sample[], dialect: Dialect): Uint8Array {
  const columns = columnsOf(dialect)
  const cell = (text: string) => (dialect.quoted ? `"${text}"` : dialect.padded ? ` ${text} ` : text)
  const needsQuotes = (text: string) =>
    text.includes(dialect.delimiter) && !dialect.quoted ? `"${text}"` : cell(text)
  const header = columns.map(([name]) => needsQuotes(name)).join(dialect.delimiter)
  const lines = [
    ...dialect.preamble,
    header,
    ...rows.map((row) => columns.map(([, of]) => cell(of(row))).join(dialect.delimiter)),
  ]
  if (dialect.repeatHeader) lines.splice(dialect.preamble.length + 8, 0, header)
  if (dialect.statistics) {
    const statistics = columns.map(([name], i) =>
      cell(i === 0 ? 'Average' : name === dialect.power[0] ? '42' : ''),
    )
    lines.push('', statistics.join(dialect.delimiter))
  }
  return encode(lines.join(dialect.end) + dialect.end, dialect.encoding)
}

function encode(text: string, encoding: Dialect['encoding']): Uint8Array {
  if (encoding === 'utf16le') return Buffer.from(`\ufeff${text}`, 'utf16le')
  if (encoding === 'utf16be') return Buffer.from(`\ufeff${text}`, 'utf16le').swap16()
  if (encoding === 'latin1') return Buffer.from(text, 'latin1')
  return Buffer.from(encoding === 'utf8-mark' ? `\ufeff${text}` : text, 'utf8')
}

const close = (actual: ArrayLike<number>, wanted: readonly number[], tolerance: number) => {
  expect(actual).toHaveLength(wanted.length)
  wanted.forEach((value, i) => {
    expect(Math.abs(actual[i]! - value)).toBeLessThanOrEqual(tolerance)
  })
}

it('a trace written in any dialect of the contract comes back as it was', () => {
  fc.assert(
    fc.property(samples, dialects, (rows, dialect) => {
      const { trace } = parseLog(writeLog(rows, dialect))
      close(
        trace.timesS,
        rows.map(({ t }) => t),
        1.1e-3,
      )
      close(
        trace.powerW,
        rows.map(({ powerW }) => powerW),
        1.1e-3,
      )
      if (dialect.temperature === null) expect(trace.temperatureC).toBeNull()
      else
        close(
          trace.temperatureC!,
          rows.map(({ celsius }) => celsius),
          0.011,
        )
      if (dialect.clock === null) expect(trace.clockHz).toBeNull()
      else
        close(
          trace.clockHz!,
          rows.map(({ hz }) => hz),
          0.51e6,
        )
    }),
    { numRuns: 200, endOnFailure: true },
  )
})
