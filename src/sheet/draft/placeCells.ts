import { InputError, type InputLocation } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { RunTime } from '../../log/trace.js'
import { type PlaceColumns, type PlaceKind, timeUnit } from './placeHeadings.js'

/** What one row of a table says of its run; null where it doesn't say. */
export interface PlaceCells {
  readonly text: (place: PlaceKind) => string | null
  readonly start: RunTime | null
  readonly end: RunTime | null
  /** Number of the load in its log, counted from 1. */
  readonly load: number | null
  /** How many runs the score is the mean of. */
  readonly runs: number | null
}

/**
 * Reads where the run of a row lies. A time that is a plain number is in the unit of its heading, else in seconds.
 *
 * @throws InputError `load-number`, and what a time can be wrong in
 */
export function placeCells(
  row: readonly string[],
  {
    headings,
    places,
    where,
  }: {
    readonly headings: readonly string[]
    readonly places: PlaceColumns
    readonly where: InputLocation
  },
): PlaceCells {
  const text = (place: keyof PlaceColumns) => {
    const index = places[place]
    const value = index === undefined ? '' : (row[index] ?? '').trim()
    return value === '' ? null : value
  }
  const time = (place: 'start' | 'end') =>
    timeIn(text(place), timeUnit(headings[places[place] ?? -1] ?? '') ?? 's', where)
  const runs = text('runs')
  return {
    text,
    start: time('start'),
    end: time('end'),
    load: loadIn(text('load'), where),
    runs: runs === null ? null : Number(runs),
  }
}

function timeIn(written: string | null, unit: string, where: InputLocation): RunTime | null {
  if (written === null) return null
  const text = withPoint(written)
  try {
    return parseRunTime(/^\d+(\.\d+)?$/.test(text) ? `${text} ${unit}` : text)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    throw new InputError(error.code, error.message, { ...error.details, where })
  }
}

/** A time with a decimal comma: `74,8 s`. Three digits behind it could be thousands, and are left to be refused. */
function withPoint(time: string): string {
  return time.replace(/^(\d+),(\d{1,2})(?=\D|$)/, '$1.$2')
}

function loadIn(text: string | null, where: InputLocation): number | null {
  if (text === null) return null
  const number = Number(text)
  if (Number.isInteger(number) && number >= 1) return number
  const message = `expected the number of a load, counted from 1, got "${plainText(text)}"`
  throw new InputError('load-number', message, { where })
}
