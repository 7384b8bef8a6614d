import { InputError } from '../../errors.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { parseUnit, type Unit } from '../../units.js'
import { cellParser } from '../table/cellParser.js'
import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { type DecimalMark, findDecimalMark } from '../table/parseNumber.js'
import { parseStamp } from '../time/parseStamp.js'
import { ambiguous, findNamedColumn } from './chooseColumn.js'

/** Where the times come from: a column of numbers, or one or two columns of stamps. */
export interface TimeSource {
  readonly kind: 'elapsed' | 'epoch' | 'days' | 'stamp'
  /** One column, or the date's and the time's. */
  readonly columns: readonly Column[]
  /** Of a column of numbers. */
  readonly unit: Unit | undefined
  /** The unit was taken for granted: the header has none. */
  readonly unitAssumed: boolean
  /** Columns of stamps beside an elapsed time: they tell the time of day when the log began. */
  readonly wall?: TimeSource
}

/**
 * Finds the time among the columns by unit, name and content. A clock that carries a date goes before one without; a
 * fine one before a coarse one. Two rising columns of numbers that disagree about how long the log is are unclear.
 *
 * @param asked - header that the user named
 * @returns undefined when there is no time column
 * @throws InputError `column-unknown`, `column-ambiguous`, `time-unreadable`
 */
export function chooseTime(header: Header, fallback: DecimalMark, asked?: string): TimeSource | undefined {
  if (asked !== undefined) return sourceNamed(header, fallback, asked)
  const found = header.columns
    .map((column) => candidateOf(header, column, fallback))
    .filter((candidate): candidate is TimeCandidate => candidate !== undefined)
  const timeOfDay = found.find(({ form }) => form === 'time-of-day')
  const date = found.find(({ form }) => form === 'date')
  const paired = timeOfDay === undefined || date === undefined ? [] : [pair(date, timeOfDay)]
  const usable = [...found.filter(({ form }) => form !== 'date'), ...paired].filter(({ rises }) => rises)
  if (usable.length === 0) return undefined
  const best = Math.max(...usable.map(({ rank }) => rank))
  const top = usable.filter(({ rank }) => rank === best)
  const numbers = top.filter(({ form }) => form === 'number')
  if (numbers.length > 1 && !agree(numbers))
    throw ambiguous(
      'time',
      numbers.flatMap(({ source }) => source.columns),
    )
  const source = top[0]!.source
  const wall =
    usable.find(({ form }) => form === 'stamp') ?? usable.find(({ form }) => form === 'time-of-day')
  return source.kind === 'stamp' || wall === undefined ? source : { ...source, wall: wall.source }
}

/** A name that speaks of time, in any of a few languages (the unit or the content decides; the name only helps). */
const TIME_WORD = new RegExp(
  [
    /\b(times?|elapsed|epoch|unix|time ?stamps?|date|datetime|clock time|seconds?|uptime|duration|since|t|ts)\b/,
    /\b(zeit|uhrzeit|datum|dauer|zeitstempel|zeitpunkt|messzeit|temps|heure|horodatage|dur[eé]e|instant)\b/,
    /\b(tiempo|hora|fecha|tempo|ora|data|tid|tijd|czas|aika)\b/,
    /время|дата|时间|時間|時刻|日時|日付|日期/,
  ]
    .map(({ source }) => source)
    .join('|'),
  'u',
)

type Form = 'number' | 'stamp' | 'time-of-day' | 'date'

interface TimeCandidate {
  readonly source: TimeSource
  readonly form: Form
  readonly rank: number
  readonly rises: boolean
  readonly spanS: number
}

const SECOND = parseUnit('s')!
// Numbers of seconds in this range are dates from 1973 to 2100, and no log runs for three years.
const EPOCH_FROM_S = 1e8
const EPOCH_TO_S = 4.2e9

function sourceNamed(header: Header, fallback: DecimalMark, asked: string): TimeSource {
  const column = findNamedColumn('time', asked, header.columns)
  const candidate = candidateOf(header, { ...column, name: `time ${column.name}` }, fallback)
  if (candidate === undefined) {
    throw new InputError('time-unreadable', `column "${column.header}" holds no times that can be read`, {
      remedy:
        'use elapsed s, ms or min, an epoch, ISO 8601, HH:MM:SS, or a date with a time; or leave --time out',
    })
  }
  if (candidate.form !== 'date') return { ...candidate.source, columns: [column] }
  const partner = header.columns
    .map((other) => candidateOf(header, other, fallback))
    .find((other) => other?.form === 'time-of-day')
  return partner === undefined ? candidate.source : pair(candidate, partner).source
}

function pair(date: TimeCandidate, timeOfDay: TimeCandidate): TimeCandidate {
  const columns = [date.source.columns[0]!, timeOfDay.source.columns[0]!]
  return {
    ...timeOfDay,
    source: { ...timeOfDay.source, columns },
    form: 'stamp',
    rank: timeOfDay.rank + DATED,
  }
}

const DATED = 2

function candidateOf(header: Header, column: Column, fallback: DecimalMark): TimeCandidate | undefined {
  if (column.unit !== undefined && column.unit.dimension !== 'time') return undefined
  const cells = header.rows.map((row) => (row[column.index] ?? '').trim()).filter((cell) => /\d/.test(cell))
  if (cells.length === 0) return undefined
  return stampCandidate(column, cells) ?? numberCandidate(column, cells, fallback)
}

/** Most cells of the head are stamps of one form. */
function stampCandidate(column: Column, cells: readonly string[]): TimeCandidate | undefined {
  const named = TIME_WORD.test(column.name)
  const stamps = cells.map(parseStamp).filter((stamp) => stamp !== undefined)
  if (stamps.length < 0.6 * cells.length || (/^\d+$/.test(cells[0]!) && !named)) return undefined
  const dated = stamps.filter(({ date }) => date !== null).length > stamps.length / 2
  const timed = stamps.filter(({ secondsOfDay }) => secondsOfDay !== null).length > stamps.length / 2
  const form: Form = dated ? (timed ? 'stamp' : 'date') : 'time-of-day'
  const seconds = stamps.map(({ secondsOfDay }) => secondsOfDay ?? 0)
  const fine = seconds.some((value) => value % 1 !== 0)
  const source = { kind: 'stamp', columns: [column], unit: undefined, unitAssumed: false } as const
  const rank = 10 + (dated && timed ? DATED : 0) + (fine ? 4 : 0) + (named ? 1 : 0)
  return { source, form, rank, rises: true, spanS: seconds.at(-1)! - seconds[0]! }
}

function numberCandidate(
  column: Column,
  cells: readonly string[],
  fallback: DecimalMark,
): TimeCandidate | undefined {
  const named = TIME_WORD.test(column.name) || column.name === ''
  if (column.unit === undefined && !TIME_WORD.test(column.name)) return undefined
  const mark = findDecimalMark(cells, fallback)
  const raw = cells
    .map(cellParser('time', column.unit ?? SECOND, mark))
    .filter((value) => !Number.isNaN(value))
  if (raw.length < 0.6 * cells.length) return undefined
  const unit = column.unit ?? unitByMagnitude(raw)
  const seconds = column.unit === undefined ? raw.map((value) => (value + unit.offset) * unit.scale) : raw
  const epoch = seconds[0]! > EPOCH_FROM_S && seconds[0]! < EPOCH_TO_S
  const source = {
    kind: unit === SERIAL_DAY ? 'days' : epoch ? 'epoch' : 'elapsed',
    columns: [column],
    unit,
    unitAssumed: column.unit === undefined && (unit === SERIAL_DAY || !epoch),
  } as const
  const fine = seconds.some((value) => value % 1 !== 0) || smallestStep(seconds) < 1
  const plain =
    /^(t|time|times|elapsed|elapsed time|time elapsed|time ?stamp|seconds|zeit|temps|tiempo|tempo|epoch)?$/.test(
      column.name,
    )
  const rank =
    10 + (fine ? 4 : 0) + (epoch ? DATED : 0) + (named ? 3 : 0) + (plain ? 1 : 0) - (column.unit ? 0 : 1)
  return { source, form: 'number', rank, rises: rises(seconds, named), spanS: seconds.at(-1)! - seconds[0]! }
}

/** Nobody samples a load as slowly, s: the numbers are of a finer unit. Common practice, no source. */
const SLOWEST_SAMPLING_S = 100

/** Epochs without a unit tell it by their size; other numbers are seconds, or the finer unit in which the sampling is plausible. */
function unitByMagnitude(values: readonly number[]): Unit {
  const units = ['s', 'ms', 'us', 'ns'].map((symbol) => parseUnit(symbol)!)
  const isEpoch = ({ scale }: Unit) => {
    const seconds = values[0]! * scale
    return seconds > EPOCH_FROM_S && seconds < EPOCH_TO_S
  }
  const epoch = units.find(isEpoch)
  const steps = differences(values)
  if (epoch !== undefined || steps.length === 0) return epoch ?? SECOND
  const step = quantile(steps, 0.5)
  if (isSerialDay(values[0]!, step)) return SERIAL_DAY
  return units.find(({ scale }) => step * scale < SLOWEST_SAMPLING_S) ?? SECOND
}

/**
 * A date of a spreadsheet without its format: days since 1899-12-30, in the clock of whoever logged (ISO/IEC 29500-1, 18.17.4.1). 25569 is 1970.
 */
const SERIAL_DAY: Unit = {
  symbol: 'days of a spreadsheet',
  dimension: 'time',
  scale: 86_400,
  offset: -25_569,
}

/** From 1982 to 2119, sampled at most every 40 s and at most ten times a second: elapsed seconds that begin there would be 2000 samples in one. */
function isSerialDay(first: number, step: number): boolean {
  return first > 30_000 && first < 80_000 && step < 5e-4 && step > 1e-6
}

/** Steps that go forward. */
function differences(values: readonly number[]): readonly number[] {
  return values.slice(1).flatMap((value, i) => (value > values[i]! ? [value - values[i]!] : []))
}

function smallestStep(values: readonly number[]): number {
  let smallest = Number.POSITIVE_INFINITY
  for (let i = 1; i < values.length; i++) {
    const step = values[i]! - values[i - 1]!
    if (step > 0 && step < smallest) smallest = step
  }
  return smallest
}

/** Times mostly rise, or fall where the newest row comes first; a column without a name for time must always rise. */
function rises(values: readonly number[], named: boolean): boolean {
  if (values.length < 2) return named
  let up = 0
  let down = 0
  for (let i = 1; i < values.length; i++) {
    if (values[i]! > values[i - 1]!) up++
    if (values[i]! < values[i - 1]!) down++
  }
  return named ? up > 2 * down || down > 2 * up : down === 0 && up > 0.8 * (values.length - 1)
}

function agree(candidates: readonly TimeCandidate[]): boolean {
  const spans = candidates.map(({ spanS }) => spanS)
  return Math.max(...spans) - Math.min(...spans) <= 0.05 * Math.max(...spans) + 1e-9
}
