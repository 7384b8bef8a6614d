import type { Column } from '../table/describeColumn.js'
import type { RecordScanner } from '../table/recordScanner.js'
import { parseStamp, type Stamp } from './parseStamp.js'
import { readMinuteStamps } from './readMinuteStamps.js'
import { type StampDay, UNREADABLE, type WrittenTimes, writtenTimes } from './writtenTimes.js'

/**
 * Reads time stamps from one column, or a date and a time from two.
 *
 * Neighbouring stamps differ in hours, minutes and seconds only. What stands before and after those is compared with the last
 * stamp, byte for byte; only where it differs is the cell parsed as text.
 */
export class StampColumns {
  /** Of the stamp read last: seconds after midnight (0 for a date alone), and the place of its day in `days`. */
  secondsOfDay = Number.NaN
  day = UNREADABLE
  private readonly days: StampDay[] = []
  private readonly places = new Map<string, number>()
  private around: StampNeighbours | undefined
  /** Stamps of two figures without a date, and all others. */
  private minuteStamps = 0
  private otherStamps = 0
  private lastDate: Uint8Array = new Uint8Array(0)

  private readonly indices: readonly number[]

  constructor(private readonly columns: readonly Column[]) {
    this.indices = columns.map(({ index }) => index)
  }

  /** Reads a stamp that is like the one before; false when it is not, or no stamp. */
  readPlain(bytes: Uint8Array, record: RecordScanner): boolean {
    const index = this.indices.at(-1)!
    if (this.around === undefined || index >= record.count) return false
    if (this.indices.length === 2 && !this.isLastDate(bytes, record)) return false
    const seconds = secondsBetween(bytes, record.starts[index]!, record.ends[index]!, this.around)
    if (Number.isNaN(seconds)) return false
    this.secondsOfDay = seconds
    this.day = this.around.day
    return true
  }

  /** Reads any cells of a row; those that hold no stamp leave `secondsOfDay` NaN. */
  parse(row: readonly string[]): void {
    const cells = this.indices.map((index) => row[index] ?? '')
    const stamp = stampOf(cells.map((cell) => cell.trim()))
    this.secondsOfDay = stamp === undefined ? Number.NaN : (stamp.secondsOfDay ?? 0)
    this.day = stamp === undefined ? UNREADABLE : this.placeOf(stamp)
    if (stamp !== undefined) {
      if (stamp.date === null && MINUTE_STAMP.test(cells.at(-1)!.trim())) this.minuteStamps++
      else this.otherStamps++
    }
    this.around =
      stamp?.secondsOfDay == null ? undefined : aroundTime(cells.at(-1)!.trim(), stamp.secondsOfDay, this.day)
    this.lastDate = new TextEncoder().encode(cells[0])
  }

  /** All stamps on one scale. */
  written(dayOf: Int32Array, secondsOfDay: Float64Array): WrittenTimes {
    const { header, name } = this.columns.at(-1)!
    const minutes =
      this.minuteStamps > 0 && this.otherStamps === 0 ? readMinuteStamps(secondsOfDay, header) : undefined
    if (minutes?.form === 'mm:ss') {
      const seconds = secondsOfDay.map((value) => value / 60)
      return { ...writtenTimes({ days: this.days, dayOf, secondsOfDay: seconds, isElapsed: true }), minutes }
    }
    const isElapsed = /\b(elapsed|uptime|duration|dauer|since)\b/.test(name)
    const written = writtenTimes({ days: this.days, dayOf, secondsOfDay, isElapsed })
    return minutes === undefined ? written : { ...written, minutes }
  }

  private isLastDate(bytes: Uint8Array, record: RecordScanner): boolean {
    const date = this.indices[0]!
    return date < record.count && holds(bytes, record.starts[date]!, record.ends[date]!, this.lastDate)
  }

  private placeOf({ date, offsetS, secondsOfDay }: Stamp): number {
    const timed = secondsOfDay !== null
    const key = [date?.year, date?.first, date?.second, date?.order, offsetS, timed].join()
    const known = this.places.get(key)
    if (known !== undefined) return known
    if (this.days.length === MOST_DAYS) return UNREADABLE
    this.places.set(key, this.days.length)
    return this.days.push({ date, offsetS, timed }) - 1
  }
}

/** Hours and minutes, or minutes and seconds. */
const MINUTE_STAMP = /^\d{1,4}:\d{1,2}$/

// No log lasts for five centuries: what is beyond is no date.
const MOST_DAYS = 200_000

function stampOf([first, second]: readonly string[]): Stamp | undefined {
  const stamp = parseStamp(first!)
  if (second === undefined) return stamp
  const time = parseStamp(second)
  return stamp?.date == null || time?.secondsOfDay == null ? undefined : { ...time, date: stamp.date }
}

/** What stands before and after `HH:MM:SS.fff` in a stamp. */
interface StampNeighbours {
  readonly before: Uint8Array
  readonly after: Uint8Array
  /** Hours to be added after 12 o'clock; undefined for a clock of 24 hours. */
  readonly halfDayH: number | undefined
  readonly day: number
}

const TIME_WITHIN =
  /^(|.*\D)\d\d:\d\d:\d\d(?:[.,]\d{1,9})?((?:\s*([AaPp])\.?[Mm]\.?)?\s*(?:[A-Za-z]*|[+-]\d\d:?\d*))$/

function aroundTime(text: string, secondsOfDay: number, day: number): StampNeighbours | undefined {
  const parts = TIME_WITHIN.exec(text)
  if (parts === null || /[^\x20-\x7e]/.test(text)) return undefined
  const encoder = new TextEncoder()
  const [before, after] = [encoder.encode(parts[1]!), encoder.encode(parts[2]!)]
  const halfDayH = parts[3] === undefined ? undefined : /p/i.test(parts[3]) ? 12 : 0
  const around = { before, after, halfDayH, day }
  const bytes = encoder.encode(text)
  return secondsBetween(bytes, 0, bytes.length, around) === secondsOfDay ? around : undefined
}

/** Seconds after midnight of a stamp that is like another but for hours, minutes and seconds; else NaN. */
function secondsBetween(bytes: Uint8Array, start: number, end: number, around: StampNeighbours): number {
  let from = start
  let to = end
  while (from < to && bytes[from] === SPACE) from++
  while (to > from && bytes[to - 1] === SPACE) to--
  const { before, after, halfDayH } = around
  const at = from + before.length
  const fraction = at + TIME_LENGTH
  const close = to - after.length
  if (close < fraction || !holds(bytes, from, at, before) || !holds(bytes, close, to, after))
    return Number.NaN
  if (bytes[at + 2] !== COLON || bytes[at + 5] !== COLON) return Number.NaN
  const hours = twoDigits(bytes, at)
  const minutes = twoDigits(bytes, at + 3)
  const seconds = secondsWithFraction(bytes, at + 6, close)
  if (!(minutes <= 59) || !(seconds < 61) || (halfDayH !== undefined && hours > 12)) return Number.NaN
  return (halfDayH === undefined ? hours : (hours % 12) + halfDayH) * 3600 + minutes * 60 + seconds
}

const SPACE = 0x20
const COLON = 0x3a
const ZERO = 0x30
const TIME_LENGTH = 8
const TENS = Float64Array.from({ length: 10 }, (_, power) => 10 ** power)

function secondsWithFraction(bytes: Uint8Array, at: number, end: number): number {
  let digits = twoDigits(bytes, at)
  if (end === at + 2) return digits
  const mark = bytes[at + 2]
  // A point or a comma, and digits behind it.
  if ((mark !== 0x2e && mark !== 0x2c) || end === at + 3 || end > at + 12) return Number.NaN
  for (let i = at + 3; i < end; i++) {
    const digit = bytes[i]! - ZERO
    if (!(digit >= 0 && digit <= 9)) return Number.NaN
    digits = 10 * digits + digit
  }
  return digits / TENS[end - at - 3]!
}

function twoDigits(bytes: Uint8Array, at: number): number {
  const tens = bytes[at]! - ZERO
  const ones = bytes[at + 1]! - ZERO
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? 10 * tens + ones : Number.NaN
}

function holds(bytes: Uint8Array, start: number, end: number, wanted: Uint8Array): boolean {
  if (end - start !== wanted.length) return false
  for (let i = 0; i < wanted.length; i++) if (bytes[start + i] !== wanted[i]) return false
  return true
}
