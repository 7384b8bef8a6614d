import type { RunTime, Trace } from '../trace.js'

/** How `HH:MM:SS` is read, which may be elapsed or a time of day. */
export type RunTimeReading = (time: RunTime, trace: LogClock) => number | undefined

/** What a log says of the clock that its samples were stamped with. */
export type LogClock = Pick<Trace, 'startOfDayS' | 'startEpochS' | 'intervalS'>

/** Seconds from the log's first sample, elapsed wherever it may be; undefined where the log's clock can't tell. */
export const readElapsed: RunTimeReading = (time, trace) => time.elapsedS ?? readOfDay(time, trace)

/** Seconds from the log's first sample, by time of day or date wherever the log has them; undefined where its clock can't tell. */
export const readOfDay: RunTimeReading = (time, trace) => {
  const byDateS =
    time.epochS === null || trace.startEpochS === null ? undefined : time.epochS - trace.startEpochS
  if (time.ofDayS === null || trace.startOfDayS === null) return time.elapsedS ?? byDateS
  const sinceStartS = time.ofDayS - trace.startOfDayS
  // The date says which day; the time of day is the log's own, whatever zone either is written in.
  if (byDateS !== undefined) return sinceStartS + DAY_S * Math.round((byDateS - sinceStartS) / DAY_S)
  // A log that passes midnight: the time of day is the first one at or after the log's start, less a sample's slack.
  return sinceStartS < -slackS(trace) ? sinceStartS + DAY_S : sinceStartS
}

const DAY_S = 86_400

/** Reviewers note times to the second or so; what they note may reach this far over the log's ends. */
export function slackS({ intervalS }: Pick<Trace, 'intervalS'>): number {
  return Math.max(2, intervalS)
}
