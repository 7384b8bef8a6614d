import { InputError, type InputLocation } from '../errors.js'
import type { GivenTimes, Trace } from '../log/trace.js'
import { findLoads } from '../segment/findLoads.js'
import type { Load } from '../segment/load.js'
import { resolveLoads } from '../segment/resolveLoads.js'

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
 * @param asked.loads - loads as a person set them, in place of those that would be found
 * @param asked.log - the log's name, for the message
 * @throws InputError `load-missing`, and those of `resolveLoads`
 */
export function chooseLoads(
  trace: Trace,
  asked: {
    readonly load?: number | null | undefined
    readonly loads?: readonly GivenTimes[] | undefined
    readonly log: string
    readonly where?: InputLocation
  },
): ChosenLoads {
  const all =
    asked.loads === undefined
      ? foundOnce(trace)
      : findLoads(trace, { given: resolveLoads(asked.loads, trace, asked.where) })
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

/** Loads of traces that were looked at before: several tests may name loads of one log. */
const FOUND = new WeakMap<Trace, readonly Load[]>()

function foundOnce(trace: Trace): readonly Load[] {
  const loads = FOUND.get(trace) ?? findLoads(trace)
  FOUND.set(trace, loads)
  return loads
}
