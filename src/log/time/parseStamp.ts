/** A date and time as written: what it says, with an all-figure date left open until the whole column is seen. */
export interface Stamp {
  /** Year, month, day; or the first two figures of a `nn/nn/yyyy` date in written order with `order` open. */
  readonly date: {
    readonly year: number
    readonly first: number
    readonly second: number
    readonly order: DateOrder
  } | null
  /** Seconds after midnight (above 86 400 for elapsed hours), or null for a date alone. */
  readonly secondsOfDay: number | null
  /** Seconds east of UTC; null when the stamp doesn't say. */
  readonly offsetS: number | null
}

/** Open are figures that may be either; with slashes the month mostly comes first, with dashes the day. */
export type DateOrder = 'month-day' | 'day-month' | 'open' | 'open-dashed'

/**
 * Time stamp in a cell: ISO 8601 / RFC 3339, `HH:MM:SS[.fff]` with or without AM/PM, `DD.MM.YYYY`, `MM/DD/YYYY`,
 * `YYYY-MM-DD`, `YYYY/MM/DD`, a date and a time together, or either alone. Undefined when it is none, or impossible.
 *
 * @param text - trimmed
 * @source RFC 3339, section 5.6; second 60 is a leap second (section 5.7)
 * @example parseStamp('20:03:38.5')?.secondsOfDay // 72218.5
 */
export function parseStamp(text: string): Stamp | undefined {
  if (text.length > LONGEST_STAMP) return undefined
  const match = STAMP.exec(text)
  if (match === null || (match[1] === undefined && match[2] === undefined)) return undefined
  const date = match[1] === undefined ? null : parseDate(match[1])
  const secondsOfDay = match[2] === undefined ? null : parseTimeOfDay(match[2], date !== null)
  if (date === undefined || secondsOfDay === undefined) return undefined
  return { date, secondsOfDay, offsetS: match[3] === undefined ? null : parseOffset(match[3]) }
}

/** Days since 1970-01-01 of a stamp's date, or undefined when there is no such day. */
export function daysOfDate(
  date: NonNullable<Stamp['date']>,
  open: 'month-day' | 'day-month',
): number | undefined {
  const order = date.order === 'open' || date.order === 'open-dashed' ? open : date.order
  const [month, day] = order === 'month-day' ? [date.first, date.second] : [date.second, date.first]
  const days = Date.UTC(date.year, month - 1, day) / 86_400_000
  const back = new Date(days * 86_400_000)
  return back.getUTCMonth() === month - 1 && back.getUTCDate() === day ? days : undefined
}

const LONGEST_STAMP = 48
const DATE = String.raw`\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[./-]\d{1,2}[./-](?:\d{4}|\d{2})\.?|\d{8}`
const TIME = String.raw`\d{1,4}:\d{1,2}(?::\d{1,2}(?:[.,:]\d+)?|\.\d+)?(?:\s*[AaPp]\.?[Mm]\.?)?|\d{6}(?:[.,]\d+)?`
const STAMP = new RegExp(
  String.raw`^(?:(${DATE})(?:[Tt]|[\s,;_]+|-(?=\d)|$))?(?:[Tt]?(${TIME})\s*(Z|z|[+-]\d{2}(?::?\d{2})?|[A-Z]{3,5})?)?$`,
)

function parseDate(text: string): Stamp['date'] | undefined {
  const parts = /^\d{8}$/.test(text)
    ? [text.slice(0, 4), text.slice(4, 6), text.slice(6)]
    : text.split(/[-/.]/).filter((part) => part !== '')
  const [a, b, c] = parts as [string, string, string]
  const yearFirst = a.length === 4
  const year = yearFirst ? Number(a) : c.length === 2 ? 2000 + Number(c) : Number(c)
  const [first, second] = yearFirst ? [Number(b), Number(c)] : [Number(a), Number(b)]
  if (first < 1 || second < 1 || first > 31 || second > 31 || (first > 12 && second > 12)) return undefined
  if (yearFirst) return first > 12 ? undefined : { year, first, second, order: 'month-day' }
  if (text.includes('.')) return second > 12 ? undefined : { year, first, second, order: 'day-month' }
  const open = text.includes('/') ? 'open' : 'open-dashed'
  return { year, first, second, order: first > 12 ? 'day-month' : second > 12 ? 'month-day' : open }
}

function parseTimeOfDay(text: string, dated: boolean): number | undefined {
  if (!text.includes(':')) {
    if (!dated) return undefined
    const [h, m, s] = [
      Number(text.slice(0, 2)),
      Number(text.slice(2, 4)),
      Number(text.slice(4).replace(',', '.')),
    ]
    return h < 24 && m < 60 && s < 61 ? h * 3600 + m * 60 + s : undefined
  }
  const [, first, second, third, half] = /^(\d+):(\d+)(?::?([\d.,:]+))?\s*([AaPp])?/.exec(text)!
  const seconds = third === undefined ? 0 : Number(third.replace(/^[.,]/, '0.').replace(/[,:]/, '.'))
  const minutesForm = third?.startsWith('.') ?? false
  const [hours, minutes] = [Number(first), Number(second)]
  if (minutes > 59 || !(seconds < 61) || (half !== undefined && hours > 12)) return undefined
  if (minutesForm) return hours * 60 + minutes + seconds
  if (half === undefined) return hours * 3600 + minutes * 60 + seconds
  return ((hours % 12) + (/[Pp]/.test(half) ? 12 : 0)) * 3600 + minutes * 60 + seconds
}

/** Null for the name of a zone other than UTC: names are no offsets (CST is four different ones). */
function parseOffset(text: string): number | null {
  const parts = /^([+-])(\d{2}):?(\d{2})?$/.exec(text)
  if (parts === null) return /^(z|utc|gmt)$/i.test(text) ? 0 : null
  const seconds = Number(parts[2]) * 3600 + Number(parts[3] ?? 0) * 60
  return parts[1] === '-' ? -seconds : seconds
}
