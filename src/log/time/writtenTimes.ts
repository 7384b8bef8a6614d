import { daysOfDate, type Stamp } from './parseStamp.js'
import type { MinuteReading } from './readMinuteStamps.js'

/** Times of all samples as written, before any mending. */
export interface WrittenTimes {
  /** Seconds on the log's own scale (elapsed, epoch, or since midnight); NaN where a cell can't be read. */
  readonly seconds: Float64Array
  /** What the scale is: `wall-clock` has a date but no offset from UTC, `time-of-day` has no date. */
  readonly scale: 'elapsed' | 'epoch' | 'wall-clock' | 'time-of-day'
  /** Seconds after midnight of a sample in the log's own clock; null where unknown, or without a time of day. */
  readonly ofDayS: (row: number) => number | null
  /** How stamps of two figures were read, where all are such. */
  readonly minutes?: MinuteReading
}

/** What stamps of one day and one offset from UTC have in common. */
export interface StampDay {
  readonly date: Stamp['date']
  readonly offsetS: number | null
  /** False when the stamps are dates alone. */
  readonly timed: boolean
}

/** Place of the day of a cell that holds no stamp. */
export const UNREADABLE = -1

/** Stamps of all samples as they were read: the place of each one's day in a list, and its seconds after midnight. */
export interface ReadStamps {
  readonly days: readonly StampDay[]
  readonly dayOf: Int32Array
  readonly secondsOfDay: Float64Array
  /** The column's name tells a time that has elapsed rather than one of the day. */
  readonly isElapsed: boolean
}

/**
 * Stamps to seconds on one scale.
 *
 * All-figure dates with slashes are month first, unless a figure above 12 in any row says otherwise, or a day-first
 * reading makes the log shorter than 32 days where month-first does not.
 */
export function writtenTimes({ days, dayOf, secondsOfDay, isElapsed }: ReadStamps): WrittenTimes {
  const dated = days.some(({ date }) => date !== null)
  const zoned = days.some(({ offsetS }) => offsetS !== null)
  const order = dateOrder(days, dayOf)
  const starts = days.map((day) => startOf(day, order, dated))
  const seconds = new Float64Array(dayOf.length)
  for (let row = 0; row < seconds.length; row++) {
    const place = dayOf[row]!
    seconds[row] =
      place === UNREADABLE ? Number.NaN : starts[place]! + secondsOfDay[row]! - (days[place]!.offsetS ?? 0)
  }
  const ofDayS = (row: number) => (days[dayOf[row]!]?.timed ? secondsOfDay[row]! : null)
  if (dated) return { seconds, scale: zoned ? 'epoch' : 'wall-clock', ofDayS }
  return isElapsed
    ? { seconds, scale: 'elapsed', ofDayS: () => null }
    : { seconds, scale: 'time-of-day', ofDayS }
}

const DAY_S = 86_400

/** Seconds that a day begins at; 0 where no stamp of the log has a date, NaN where only this one has none. */
function startOf({ date, timed }: StampDay, order: 'month-day' | 'day-month', dated: boolean): number {
  if (!dated) return timed ? 0 : Number.NaN
  const days = date === null ? undefined : daysOfDate(date, order)
  return days === undefined ? Number.NaN : days * DAY_S
}

function dateOrder(days: readonly StampDay[], dayOf: Int32Array): 'month-day' | 'day-month' {
  const rows = new Float64Array(days.length)
  for (let i = 0; i < dayOf.length; i++) if (dayOf[i] !== UNREADABLE) rows[dayOf[i]!]!++
  let [monthFirst, dayFirst] = [0, 0]
  const spans = { 'month-day': new TimeSpan(), 'day-month': new TimeSpan() }
  days.forEach(({ date }, place) => {
    if (date === null) return
    if (date.order === 'month-day') monthFirst += rows[place]!
    else if (date.order === 'day-month') dayFirst += rows[place]!
    else for (const order of ['month-day', 'day-month'] as const) spans[order].add(daysOfDate(date, order))
  })
  if (monthFirst !== dayFirst) return monthFirst > dayFirst ? 'month-day' : 'day-month'
  const isDashed = days.some(({ date }) => date?.order === 'open-dashed')
  const [usual, other] = isDashed
    ? (['day-month', 'month-day'] as const)
    : (['month-day', 'day-month'] as const)
  const month = 32
  return spans[usual].days >= month - 5 && spans[other].days < month - 5 ? other : usual
}

class TimeSpan {
  private low = Number.POSITIVE_INFINITY
  private high = Number.NEGATIVE_INFINITY

  add(days: number | undefined): void {
    if (days === undefined) return
    this.low = Math.min(this.low, days)
    this.high = Math.max(this.high, days)
  }

  get days(): number {
    return this.high - this.low
  }
}
