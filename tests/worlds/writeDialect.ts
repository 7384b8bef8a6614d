import type { Dialect, PowerForm } from './dialect.js'
import type { LogTable } from './logger.js'
import type { RandomStream } from './randomStream.js'

interface Column {
  readonly name: string
  readonly cell: (row: number) => string
  /** A number, so that a statistics row can sum it up. */
  readonly value: ((row: number) => number) | null
}

const WATTS_PER: Record<'W' | 'mW' | 'kW', number> = { W: 1, mW: 1e-3, kW: 1e3 }
const JOULES_PER: Record<'J' | 'mJ' | 'uJ' | 'Wh' | 'mWh', number> = {
  J: 1,
  mJ: 1e-3,
  uJ: 1e-6,
  Wh: 3600,
  mWh: 3.6,
}
const DIGITS: Record<PowerForm, number> = { W: 3, mW: 0, kW: 6, J: 3, mJ: 0, uJ: 0, Wh: 6, mWh: 3 }
/** Where the counter wraps, J: the two ranges that the powercap drivers report, in joules. */
const COUNTER_RANGE_J = [262143.32885, 65532.610987] as const

/** The log as its logger wrote it: bytes in this dialect. */
export function writeDialect(table: LogTable, dialect: Dialect, random: RandomStream): Uint8Array {
  const columns = chooseColumns(table, dialect, random)
  const separator = dialect.delimiter
  const line = (cells: readonly string[]) => cells.map((cell) => quote(cell, dialect)).join(separator)
  const header = line(columns.map((column) => column.name))
  const lines: string[] = []
  if (dialect.preamble) lines.push('Session notes: window open, mains power', 'Machine in the quiet room', '')
  lines.push(header)
  const order = rowOrder(table.timesS.length, dialect, random)
  for (const [at, row] of order.entries()) {
    if (dialect.repeatedHeader && at > 0 && at % 400 === 0) lines.push(header)
    if (dialect.blankLines && at > 0 && at % 333 === 0) lines.push('')
    lines.push(line(columns.map((column) => column.cell(row))))
  }
  if (dialect.statistics)
    for (const [name, pick] of STATISTICS)
      lines.push(line(columns.map((column, i) => statistic(column, i, name, pick, table, dialect))))
  return encode(`${lines.join(dialect.newline)}${dialect.newline}`, dialect)
}

const STATISTICS: readonly (readonly [string, (values: readonly number[]) => number])[] = [
  ['Minimum', (values) => values.reduce((a, b) => Math.min(a, b))],
  ['Maximum', (values) => values.reduce((a, b) => Math.max(a, b))],
  ['Average', (values) => values.reduce((a, b) => a + b, 0) / values.length],
]

function statistic(
  column: Column,
  index: number,
  name: string,
  pick: (values: readonly number[]) => number,
  table: LogTable,
  dialect: Dialect,
): string {
  if (index === 0) return name
  const value = column.value
  return value === null ? '' : number(pick(table.timesS.map((_, row) => value(row))), 2, dialect)
}

function chooseColumns(table: LogTable, dialect: Dialect, random: RandomStream): readonly Column[] {
  const times = timeColumns(table, dialect)
  const rest: Column[] = [powerColumn(table, dialect, random)]
  if (dialect.temperature !== null) rest.push(temperatureColumn(table, dialect.temperature, dialect))
  if (dialect.clock !== null) rest.push(clockColumn(table, dialect.clock, dialect))
  if (dialect.otherColumns) rest.push(...otherColumns(table, dialect, random))
  return [...times, ...(dialect.shuffled ? random.shuffle(rest) : rest)]
}

function timeColumns(table: LogTable, dialect: Dialect): readonly Column[] {
  const t = (row: number) => table.timesS[row]!
  const stamp = (row: number) => new Date(Math.round((dialect.startEpochS + t(row)) * 1000)).toISOString()
  const date = (row: number) => stamp(row).slice(0, 10).split('-')
  const clock = (row: number) =>
    stamp(row)
      .slice(11, 23)
      .replace('.', dialect.decimalComma ? ',' : '.')
  const text = (name: string, cell: (row: number) => string): Column => ({ name, cell, value: null })
  const count = (name: string, perSecond: number, digits: number) =>
    text(name, (row) => number(t(row) * perSecond, digits, dialect))
  const epoch = (name: string, perSecond: number, digits: number) =>
    text(name, (row) => number((dialect.startEpochS + t(row)) * perSecond, digits, dialect))
  switch (dialect.time) {
    case 'none':
      return []
    case 'elapsed-s':
      return [count('time_s', 1, 3)]
    case 'elapsed-ms':
      return [count('Elapsed (ms)', 1e3, 0)]
    case 'elapsed-us':
      return [count('elapsed_us', 1e6, 0)]
    case 'elapsed-min':
      return [count('Elapsed [min]', 1 / 60, 6)]
    case 'epoch-s':
      return [epoch('epoch_s', 1, 3)]
    case 'epoch-ms':
      return [epoch('timestamp_ms', 1e3, 0)]
    case 'iso-utc':
      return [text('Timestamp', stamp)]
    case 'iso-offset':
      return [text('Timestamp', (row) => shifted(stamp(row), 2))]
    case 'iso-local':
      return [text('Time', (row) => stamp(row).slice(0, 23).replace('T', ' '))]
    case 'time-of-day':
      return [text('Time', clock)]
    case 'dmy-one-column':
      return [text('Date/Time', (row) => `${[...date(row)].reverse().join('.')} ${clock(row)}`)]
    case 'ymd-slash':
      return [text('Time', (row) => `${date(row).join('/')} ${clock(row)}`)]
    case 'ymd-two-columns':
      return [text('Date', (row) => date(row).join('-')), text('Time', clock)]
    case 'mdy-two-columns':
      return [text('Date', (row) => `${date(row)[1]}/${date(row)[2]}/${date(row)[0]}`), text('Time', clock)]
  }
}

/** The same instant written with an offset of whole hours. */
function shifted(stampUtc: string, hours: number): string {
  const local = new Date(Date.parse(stampUtc) + hours * 3600_000).toISOString()
  return `${local.slice(0, 23)}+0${hours}:00`
}

function powerColumn(table: LogTable, dialect: Dialect, random: RandomStream): Column {
  const form = dialect.power
  const column = (of: (row: number) => number): Column => ({
    name: dialect.powerName,
    cell: (row) => number(of(row), DIGITS[form], dialect),
    value: of,
  })
  if (form === 'W' || form === 'mW' || form === 'kW')
    return column((row) => table.powerW[row]! / WATTS_PER[form])
  const counter = counterJ(table, random)
  return column((row) => counter[row]! / JOULES_PER[form])
}

/** Energy counter that began somewhere in its range and may wrap during the log. */
function counterJ(table: LogTable, random: RandomStream): readonly number[] {
  const range = random.pick(COUNTER_RANGE_J)
  let joules = random.uniform(0.3, 0.95) * range
  return table.powerW.map((watts, row) => {
    if (row > 0) joules += watts * (table.timesS[row]! - table.timesS[row - 1]!)
    return joules % range
  })
}

function temperatureColumn(table: LogTable, unit: 'C' | 'F' | 'K' | 'mC', dialect: Dialect): Column {
  const c = (row: number) => table.temperatureC[row]!
  const degree = dialect.encoding === 'utf-8' ? 'degC' : '°C'
  const column = (name: string, of: (row: number) => number, digits: number): Column => ({
    name,
    cell: (row) => (Number.isNaN(c(row)) ? '' : number(of(row), digits, dialect)),
    value: of,
  })
  if (unit === 'C') return column(`Package temperature [${degree}]`, c, 1)
  if (unit === 'F') return column('Package temperature (°F)', (row) => c(row) * 1.8 + 32, 1)
  if (unit === 'K') return column('Package temperature [K]', (row) => c(row) + 273.15, 2)
  return column('temp_millidegC', (row) => c(row) * 1000, 0)
}

function clockColumn(table: LogTable, unit: 'Hz' | 'kHz' | 'MHz' | 'GHz', dialect: Dialect): Column {
  const [perGHz, digits] = { Hz: [1e9, 0], kHz: [1e6, 0], MHz: [1e3, 1], GHz: [1, 4] }[unit] as [
    number,
    number,
  ]
  const of = (row: number) => table.clockGHz[row]! * perGHz
  return { name: `Core clock (${unit})`, cell: (row) => number(of(row), digits, dialect), value: of }
}

function otherColumns(table: LogTable, dialect: Dialect, random: RandomStream): readonly Column[] {
  const part = random.uniform(0.7, 0.85)
  const column = (name: string, of: (row: number) => number, digits: number): Column => ({
    name,
    cell: (row) => number(of(row), digits, dialect),
    value: of,
  })
  return [
    column('Cores power [W]', (row) => table.powerW[row]! * part, 2),
    column('Memory power [W]', (row) => 1.1 + 0.02 * table.powerW[row]!, 2),
    column('Fan [rpm]', (row) => Math.round(1200 + 20 * (table.temperatureC[row]! - 20)), 0),
    { name: 'Remark', cell: (row) => (row === 3 ? `lid open${dialect.delimiter} lamp on` : ''), value: null },
  ]
}

function rowOrder(count: number, dialect: Dialect, random: RandomStream): readonly number[] {
  const order = Array.from({ length: count }, (_, i) => i)
  for (let i = 2; i < count - 2; i++)
    if (random.chance(dialect.swapped)) [order[i], order[i + 1]] = [order[i + 1]!, order[i]!]
  return order.flatMap((row) => (random.chance(dialect.repeated) ? [row, row] : [row]))
}

function number(value: number, digits: number, dialect: Dialect): string {
  const text = value.toFixed(digits)
  return dialect.decimalComma ? text.replace('.', ',') : text
}

function quote(cell: string, dialect: Dialect): string {
  const needed = cell.includes(dialect.delimiter) || cell.includes('"')
  return needed || dialect.quoted ? `"${cell.replaceAll('"', '""')}"` : cell
}

function encode(text: string, dialect: Dialect): Uint8Array {
  if (dialect.encoding === 'utf-8') return new TextEncoder().encode(text)
  if (dialect.encoding === 'utf-8-bom') return new TextEncoder().encode(`\ufeff${text}`)
  // every character that a log holds here (degree sign, micro sign) has the same code in Windows-1252 as in Unicode
  if (dialect.encoding === 'windows-1252')
    return Uint8Array.from(text, (character) => character.charCodeAt(0))
  const little = dialect.encoding === 'utf-16le'
  const view = new DataView(new ArrayBuffer(2 + 2 * text.length))
  view.setUint16(0, 0xfeff, little)
  for (let i = 0; i < text.length; i++) view.setUint16(2 + 2 * i, text.charCodeAt(i), little)
  return new Uint8Array(view.buffer)
}
