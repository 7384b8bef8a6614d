import type { TimeSource } from './chooseTime.js'
import { parseCells } from './parseCells.js'
import type { DecimalMark } from './parseNumber.js'
import { daysOfDate, parseStamp, type Stamp } from './parseStamp.js'

/** Times of all samples as written, before any mending. */
export interface WrittenTimes {
  /** Seconds on the log's own scale (elapsed, epoch, or since midnight); NaN where a cell can't be read. */
  readonly seconds: Float64Array
  /** What the scale is: `wall-clock` has a date but no offset from UTC, `time-of-day` has no date. */
  readonly scale: 'elapsed' | 'epoch' | 'wall-clock' | 'time-of-day'
  /** Seconds after midnight of each sample in the log's own clock, NaN where unknown; null without a time of day. */
  readonly ofDayS: Float64Array | null
}

/**
 * Cells of the time column (or the date's and the time's) to seconds.
 *
 * All-figure dates with slashes are month first, unless a figure above 12 in any row says otherwise, or a day-first
 * reading makes the log shorter than 32 days where month-first does not.
 *
 * @param cells - per column, one cell a sample
 */
export function parseTimes(
  source: TimeSource,
  cells: readonly (readonly string[])[],
  fallback: DecimalMark,
): WrittenTimes {
  if (source.kind !== 'stamp') {
    const seconds = parseCells(cells[0]!, { dimension: 'time', unit: source.unit, fallback })
    return { seconds, scale: source.kind, ofDayS: null }
  }
  const stamps = stampsOf(cells)
  const dated = stamps.some((stamp) => stamp?.date != null)
  const zoned = stamps.some((stamp) => stamp?.offsetS != null)
  const order = dateOrder(stamps)
  const seconds = Float64Array.from(stamps, (stamp) => secondsOf(stamp, order, dated))
  const elapsed = /\b(elapsed|uptime|duration|dauer|since)\b/.test(source.columns.at(-1)!.name)
  const ofDayS =
    elapsed && !dated ? null : Float64Array.from(stamps, (stamp) => stamp?.secondsOfDay ?? Number.NaN)
  if (!dated) return { seconds, scale: elapsed ? 'elapsed' : 'time-of-day', ofDayS }
  return { seconds, scale: zoned ? 'epoch' : 'wall-clock', ofDayS }
}

const DAY_S = 86_400

function stampsOf(cells: readonly (readonly string[])[]): (Stamp | undefined)[] {
  const [first, second] = cells
  if (second === undefined) return first!.map((cell) => parseStamp(cell.trim()))
  return first!.map((cell, i) => {
    const date = parseStamp(cell.trim())
    const time = parseStamp((second[i] ?? '').trim())
    return date?.date == null || time?.secondsOfDay == null ? undefined : { ...time, date: date.date }
  })
}

function secondsOf(stamp: Stamp | undefined, order: 'month-day' | 'day-month', dated: boolean): number {
  if (stamp === undefined) return Number.NaN
  if (!dated) return stamp.secondsOfDay ?? Number.NaN
  const days = stamp.date === null ? undefined : daysOfDate(stamp.date, order)
  return days === undefined ? Number.NaN : days * DAY_S + (stamp.secondsOfDay ?? 0) - (stamp.offsetS ?? 0)
}

function dateOrder(stamps: readonly (Stamp | undefined)[]): 'month-day' | 'day-month' {
  let [monthFirst, dayFirst] = [0, 0]
  const spans = { 'month-day': new Span(), 'day-month': new Span() }
  for (const stamp of stamps) {
    if (stamp?.date == null) continue
    if (stamp.date.order === 'month-day') monthFirst++
    else if (stamp.date.order === 'day-month') dayFirst++
    else
      for (const order of ['month-day', 'day-month'] as const) spans[order].add(daysOfDate(stamp.date, order))
  }
  if (monthFirst !== dayFirst) return monthFirst > dayFirst ? 'month-day' : 'day-month'
  const month = 32
  return spans['month-day'].days >= month - 5 && spans['day-month'].days < month - 5
    ? 'day-month'
    : 'month-day'
}

class Span {
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
