import { InputError } from '../../errors.js'
import { parseQuantity } from '../../units.js'
import { plainText } from '../table/plainText.js'
import type { RunTime } from '../trace.js'

/**
 * Reads when a run began or ended: `12 s`, `3.5 min` or a plain number of seconds since the log's first sample;
 * `MM:SS` likewise; `HH:MM:SS`, which may be elapsed or a time of day (the log decides); `2:05:33 pm`, a time of
 * day; `2026-03-01 14:02:10` with or without zone, a date and time.
 *
 * @throws InputError `run-time-invalid`, or what the duration's parser says
 * @example parseRunTime('01:12') // { elapsedS: 72, ofDayS: null, epochS: null, text: '01:12' }
 */
export function parseRunTime(text: string): RunTime {
  const trimmed = text.trim()
  if (trimmed.length > LONGEST_TIME) throw invalid(trimmed)
  const dated = /^(\d{4}-\d{2}-\d{2})[ T]+(.+?)\s*(Z|[+-]\d{2}:?\d{2})?$/i.exec(trimmed)
  if (dated !== null) return datedTime(trimmed, dated[1]!, dated[2]!, dated[3])
  if (!trimmed.includes(':')) {
    // Below zero: before the log's first sample, as when the logger was started late.
    const before = /^[-−]\s*(?=\d)/.exec(trimmed)
    const sizeS = parseQuantity(trimmed.slice(before?.[0].length ?? 0), 'time')
    return { elapsedS: before === null ? sizeS : -sizeS, ofDayS: null, epochS: null, text: trimmed }
  }
  return clockTime(trimmed)
}

/** No time is longer; the patterns of one cost the square of a text's length. */
const LONGEST_TIME = 80

const CLOCK = /^(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d+)?)\s*([ap]\.?m\.?)?$/i

function clockTime(text: string): RunTime {
  const match = CLOCK.exec(text)
  if (match === null) throw invalid(text)
  const [, hoursText, minutesText, secondsText, half] = match
  const minutes = Number(minutesText)
  const seconds = Number(secondsText!.replace(',', '.'))
  if (seconds >= 60 || (hoursText !== undefined && minutes >= 60)) throw invalid(text)
  const hours = hoursText === undefined ? 0 : Number(hoursText)
  const elapsedS = hours * 3600 + minutes * 60 + seconds
  if (half !== undefined) {
    if (hoursText === undefined || hours < 1 || hours > 12) throw invalid(text)
    const shifted = (hours % 12) + (/^p/i.test(half) ? 12 : 0)
    return { elapsedS: null, ofDayS: shifted * 3600 + minutes * 60 + seconds, epochS: null, text }
  }
  const ofDayS = hoursText !== undefined && hours < 24 ? elapsedS : null
  return { elapsedS, ofDayS, epochS: null, text }
}

function datedTime(text: string, date: string, clock: string, zone: string | undefined): RunTime {
  const midnightMs = Date.parse(`${date}T00:00:00Z`)
  const ofDayS = clockTime(/:\d+:/.test(clock) ? clock : `${clock}:00`).ofDayS
  if (!Number.isFinite(midnightMs) || ofDayS === null) throw invalid(text)
  const offsetS = zone === undefined ? 0 : zoneOffsetS(zone)
  return { elapsedS: null, ofDayS, epochS: midnightMs / 1000 + ofDayS - offsetS, text }
}

function zoneOffsetS(zone: string): number {
  if (/^z$/i.test(zone)) return 0
  const digits = zone.replace(':', '')
  const sign = digits.startsWith('-') ? -1 : 1
  return sign * (Number(digits.slice(1, 3)) * 3600 + Number(digits.slice(3, 5)) * 60)
}

function invalid(text: string): InputError {
  return new InputError(
    'run-time-invalid',
    `expected a time such as \`72 s\`, \`01:12\` or \`14:02:10\`, got \`${plainText(text)}\``,
    {
      remedy: 'give seconds since the log began, MM:SS, HH:MM:SS, or the time of day',
    },
  )
}
