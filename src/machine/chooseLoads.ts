import { InputError, type InputLocation } from '../errors.js'
import type { Trace } from '../log/trace.js'
import { findLoads } from '../segment/findLoads.js'
import type { Load } from '../segment/load.js'

/** Loads of a log, all or the one that was chosen, with their numbers in the log. */
export interface ChosenLoads {
  readonly loads: readonly Load[]
  /** Number of each in its log, counted from 1. */
  readonly numbers: readonly number[]
  /** How many the log holds. */
  readonly found: number
}

/**
 * Finds the loads of a log, and takes the one that is asked for.
 *
 * @param asked.load - its number, counted from 1; null or undefined for all
 * @param asked.log - the log's name, for the message
 * @throws InputError `load-missing`
 */
export function chooseLoads(
  trace: Trace,
  asked: { readonly load?: number | null | undefined; readonly log: string; readonly where?: InputLocation },
): ChosenLoads {
  const all = findLoads(trace)
  const found = all.length
  if (asked.load == null) return { loads: all, numbers: all.map((_, index) => index + 1), found }
  const load = all[asked.load - 1]
  if (load !== undefined) return { loads: [load], numbers: [asked.load], found }
  const range = found === 0 ? 'a load in' : `a load from 1 to ${found} of`
  throw new InputError(
    'load-missing',
    `expected ${range} ${asked.log}, got ${found === 0 ? 'none' : asked.load}`,
    {
      ...(asked.where === undefined ? {} : { where: asked.where }),
      remedy: 'list the loads of the log with: holdwatt stages',
    },
  )
}
