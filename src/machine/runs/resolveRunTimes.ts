import { InputError } from '../../errors.js'
import { type RunTimeReading, readElapsed, readOfDay, slackS } from '../../log/time/readElapsed.js'
import type { Trace } from '../../log/trace.js'
import type { LoggedRun, LoggedTrial } from '../../sheet/testSheet.js'

interface RunTimes {
  readonly startS: number
  readonly endS: number
}

/** Seconds of the log, cut to it; `cutOff` when the run began before its first sample or ended after its last. */
export interface ResolvedRun extends RunTimes {
  readonly cutOff: boolean
}

/**
 * Turns a trial's run times into seconds from the log's first sample; null for a run without times.
 *
 * `HH:MM:SS` may be elapsed or a time of day: all times of a trial are read alike, as elapsed when all of them then lie
 * within the log, else as times of day (counted over midnight where needed).
 *
 * @throws InputError `run-time-outside`, `run-time-reversed`, `run-time-needs-clock` at the run's line
 */
export function resolveRunTimes(trial: LoggedTrial, trace: Trace): readonly (ResolvedRun | null)[] {
  const readings = [readElapsed, readOfDay].map((reading) =>
    trial.runs.map((run) => timesOf(run, reading, trace)),
  )
  const fits = readings.find((times) => times.every((time) => time === null || isInside(time, trace)))
  const chosen = fits ?? readings[0]!
  return chosen.map((times, index) => (times === null ? null : checked(times, trial.runs[index]!, trace)))
}

function timesOf(run: LoggedRun, reading: RunTimeReading, trace: Trace): RunTimes | null {
  if (run.start === null || run.end === null) return null
  const [startS, endS] = [run.start, run.end].map((time) => reading(time, trace) ?? Number.NaN)
  return { startS: startS!, endS: endS! }
}

function isInside(times: RunTimes, trace: Trace): boolean {
  const lastS = trace.timesS[trace.timesS.length - 1]!
  const slack = slackS(trace)
  return times.startS >= -slack && times.startS < times.endS && times.endS <= lastS + slack
}

function checked(times: RunTimes, run: LoggedRun, trace: Trace): ResolvedRun {
  const lastS = trace.timesS[trace.timesS.length - 1]!
  if (Number.isNaN(times.startS) || Number.isNaN(times.endS)) {
    const message = `\`${run.start?.text}\` is a time of day, and this log has elapsed times only`
    throw new InputError('run-time-needs-clock', message, {
      where: run.at,
      remedy: 'give seconds since the log began',
    })
  }
  if (times.endS <= times.startS) {
    const message = `expected a run that ends after it starts, got \`${run.start?.text}\` to \`${run.end?.text}\``
    throw new InputError('run-time-reversed', message, {
      where: run.at,
      remedy: 'swap or correct the two times',
    })
  }
  if (times.endS <= 0 || times.startS >= lastS) {
    const message = `the run from \`${run.start?.text}\` to \`${run.end?.text}\` lies outside the log, which lasts ${lastS.toFixed(1)} s`
    const remedy =
      'give elapsed seconds of the log, MM:SS, HH:MM:SS or the time of day; or leave the times out'
    throw new InputError('run-time-outside', message, { where: run.at, remedy })
  }
  const cutOff = !isInside(times, trace)
  return { startS: Math.max(0, times.startS), endS: Math.min(lastS, times.endS), cutOff }
}
