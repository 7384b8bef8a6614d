/** How stamps of two figures, `a:b`, are meant. */
export interface MinuteReading {
  readonly form: 'mm:ss' | 'hh:mm'
  /** Why, for whoever checks it. */
  readonly reason: string
}

/** Times of day begin at midnight in one log of a thousand; elapsed time begins there in all. */
const FIRST_MINUTE_S = 60
/** So many samples at one stamp: a clock without seconds, since few loggers sample ten times a second. Common practice, no source. */
const SAMPLES_A_STAMP = 10
const HOURS_A_DAY = 24
/** Nobody logs a load by the minute for so long; common practice, no source. */
const LONGEST_BY_MINUTE_S = 12 * 3600

/**
 * Decides whether `a:b` is elapsed minutes and seconds or hours and minutes of a day: by the column's name, else by what the log's own
 * sampling makes plausible.
 *
 * @param secondsAsHours - each stamp read as hours and minutes, s; NaN where there is none
 * @param heading - the column's heading
 */
export function readMinuteStamps(secondsAsHours: Float64Array, heading: string): MinuteReading {
  const named = namedForm(heading)
  if (named !== undefined) return { form: named, reason: 'as its heading says' }
  const known = secondsAsHours.filter((value) => !Number.isNaN(value))
  const first = known[0] ?? 0
  if (known.some((value) => value >= HOURS_A_DAY * 3600))
    return { form: 'mm:ss', reason: 'since no day has more than 24 hours' }
  const stamps = new Set(known).size
  if (known.length >= SAMPLES_A_STAMP * stamps)
    return { form: 'hh:mm', reason: `since ${Math.round(known.length / stamps)} samples share a stamp` }
  if (first < FIRST_MINUTE_S) return { form: 'mm:ss', reason: 'since it begins at 00:00' }
  if (Math.abs(known.at(-1)! - first) > LONGEST_BY_MINUTE_S)
    return { form: 'mm:ss', reason: 'since nobody logs a load by the minute for half a day' }
  return { form: 'hh:mm', reason: 'as clocks write it' }
}

function namedForm(heading: string): MinuteReading['form'] | undefined {
  if (/\bm{1,2}:s{1,2}\b|\bmin(ute)?s?\s*:\s*s(ec(ond)?s?)?\b|\belapsed\b/i.test(heading)) return 'mm:ss'
  return /\bh{1,2}:m{1,2}\b/i.test(heading) ? 'hh:mm' : undefined
}
