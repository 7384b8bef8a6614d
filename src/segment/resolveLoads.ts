import { InputError, type InputLocation } from '../errors.js'
import { readElapsed, readOfDay, slackS } from '../log/time/readElapsed.js'
import type { GivenTimes, Trace } from '../log/trace.js'
import type { Warning } from '../warnings.js'
import type { GivenLoad } from './givenSpans.js'

/**
 * Loads that a person set, in seconds from the log's first sample and in order of time.
 *
 * `HH:MM:SS` may be elapsed or a time of day: all times are read alike, as elapsed when they then lie within the log, else as times of
 * day (counted over midnight where needed).
 *
 * @param where - where they are written, for messages
 * @throws InputError `loads-need-clock`, `load-reversed`, `load-outside`, `loads-overlap`
 */
export function resolveLoads(
  times: readonly GivenTimes[],
  trace: Trace,
  where?: InputLocation,
): readonly GivenLoad[] {
  const place = where === undefined ? {} : { where }
  const readings = [readElapsed, readOfDay].map((reading) =>
    times.map(({ from, to }): ReadLoad => {
      const [startS, endS] = [reading(from, trace) ?? Number.NaN, reading(to, trace) ?? Number.NaN]
      return { startS, endS, words: `from \`${from.text}\` to \`${to.text}\`` }
    }),
  )
  const chosen = readings.find((loads) => loads.every((load) => isInside(load, trace))) ?? readings[0]!
  const loads = [...chosen].sort((a, b) => a.startS - b.startS)
  loads.forEach((load, index) => {
    const fault = faultOf(load, loads[index - 1], trace)
    if (fault) throw new InputError(fault.code, fault.message, { ...place, remedy: fault.remedy })
  })
  const [firstS, lastS] = [trace.timesS[0]!, trace.timesS.at(-1)!]
  return loads.map(({ startS, endS }) => ({
    startS: Math.max(firstS, startS),
    endS: Math.min(lastS, endS),
  }))
}

interface ReadLoad extends GivenLoad {
  readonly words: string
}

function isInside({ startS, endS }: GivenLoad, trace: Trace): boolean {
  const slack = slackS(trace)
  return startS >= trace.timesS[0]! - slack && startS < endS && endS <= trace.timesS.at(-1)! + slack
}

/** Edges of two loads that are written with tenths of a second may overlap by what they are rounded to. */
const ROUNDED_S = 0.1

function faultOf(load: ReadLoad, before: ReadLoad | undefined, trace: Trace) {
  const { startS, endS, words } = load
  if (Number.isNaN(startS) || Number.isNaN(endS)) {
    return {
      code: 'loads-need-clock',
      message: `expected elapsed times, since this log has no time of day, got a load ${words}`,
      remedy: 'give seconds since the log began, or MM:SS',
    }
  }
  if (endS <= startS) {
    return {
      code: 'load-reversed',
      message: `expected a load that ends after it starts, got one ${words}`,
      remedy: 'swap or correct the two times',
    }
  }
  if (!isInside(load, trace) || samplesIn(load, trace) < LEAST_SAMPLES) {
    const [fromS, toS] = [trace.timesS[0]!, trace.timesS.at(-1)!].map((time) => time.toFixed(0))
    return {
      code: 'load-outside',
      message: `expected a load with at least ${LEAST_SAMPLES} samples of a log from ${fromS} to ${toS} s, got one ${words}`,
      remedy: 'give elapsed seconds of the log, MM:SS, HH:MM:SS or the time of day',
    }
  }
  if (before !== undefined && startS < before.endS - ROUNDED_S) {
    return {
      code: 'loads-overlap',
      message: `expected loads one after another, got one ${before.words} and one ${words}, which overlap`,
      remedy: 'correct the times',
    }
  }
  return null
}

/** With fewer there is no level with an interval. */
const LEAST_SAMPLES = 4

function samplesIn({ startS, endS }: GivenLoad, { timesS }: Trace): number {
  return timesS.reduce((count, time) => (time > startS && time <= endS ? count + 1 : count), 0)
}

/** Says that the loads of a log are a person's, so that no reader takes them for found. */
export function warnOfGivenLoads(times: readonly GivenTimes[] | undefined, file: string): readonly Warning[] {
  return times === undefined ? [] : [{ code: 'loads-given', file, loads: times.length }]
}
