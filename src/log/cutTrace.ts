import { InputError } from '../errors.js'
import { readElapsed, readOfDay, slackS } from './time/readElapsed.js'
import type { RunTime, Trace } from './trace.js'

/** A part of a log; an end that isn't said is the log's own. */
interface LogWindow {
  readonly from?: RunTime | undefined
  readonly to?: RunTime | undefined
}

/**
 * The part of a trace from one time to another; times still count from the log's first sample.
 *
 * `HH:MM:SS` may be elapsed or a time of day: both ends are read alike, as elapsed when they then lie within the log, else
 * as times of day (counted over midnight where needed).
 *
 * @throws InputError `window-outside`, `window-reversed`, `window-needs-clock`
 * @example cutTrace(trace, { from: parseRunTime('10:00'), to: parseRunTime('25:00') }).timesS[0] // 600
 */
export function cutTrace(trace: Trace, window: LogWindow): Trace {
  if (window.from === undefined && window.to === undefined) return trace
  const [fromS, toS] = secondsOf(window, trace)
  if (!(fromS < toS)) throw reversed(window)
  const { timesS } = trace
  const first = timesS.findIndex((time) => time >= fromS)
  const after = timesS.findIndex((time) => time > toS)
  const end = after < 0 ? timesS.length : after
  if (first < 0 || end - first < 2) throw outside(window, trace)
  const cut = <Values extends Float64Array | Uint8Array>(values: Values) =>
    values.subarray(first, end) as Values
  const part = (values: Float64Array | null | undefined) => (values == null ? values : cut(values))
  return {
    ...trace,
    timesS: cut(timesS),
    powerW: cut(trace.powerW),
    temperatureC: part(trace.temperatureC) ?? null,
    clockHz: part(trace.clockHz) ?? null,
    ...(trace.limitW == null ? {} : { limitW: cut(trace.limitW) }),
    ...(trace.usePct == null ? {} : { usePct: cut(trace.usePct) }),
    ...(trace.parts == null
      ? {}
      : { parts: { processorW: cut(trace.parts.processorW), graphicsW: cut(trace.parts.graphicsW) } }),
    ...(trace.rate == null ? {} : { rate: cut(trace.rate) }),
    ...(trace.reasons == null ? {} : { reasons: cut(trace.reasons) }),
    ...(trace.temperatures === undefined
      ? {}
      : { temperatures: trace.temperatures.map(({ name, celsius }) => ({ name, celsius: cut(celsius) })) }),
  }
}

/** Where the part begins and ends, s; the log's own ends where it isn't said. */
function secondsOf({ from, to }: LogWindow, trace: Trace): [number, number] {
  const lastS = trace.timesS.at(-1)!
  const readings = [readElapsed, readOfDay].map((reading): [number, number] => [
    from === undefined ? Number.NEGATIVE_INFINITY : (reading(from, trace) ?? Number.NaN),
    to === undefined ? Number.POSITIVE_INFINITY : (reading(to, trace) ?? Number.NaN),
  ])
  const slack = slackS(trace)
  const isInside = ([fromS, toS]: [number, number]) =>
    (from === undefined || (fromS >= -slack && fromS < lastS)) &&
    (to === undefined || (toS > 0 && toS <= lastS + slack)) &&
    fromS < toS
  const chosen = readings.find(isInside) ?? readings[0]!
  for (const [time, seconds] of [
    [from, chosen[0]],
    [to, chosen[1]],
  ] as const)
    if (time !== undefined && Number.isNaN(seconds)) throw clockless(time)
  return chosen
}

function clockless({ text }: RunTime): InputError {
  return new InputError(
    'window-needs-clock',
    `expected an elapsed time, since this log has no time of day, got \`${text}\``,
    { remedy: 'give seconds since the log began, or MM:SS' },
  )
}

function reversed({ from, to }: LogWindow): InputError {
  return new InputError(
    'window-reversed',
    `expected a part that ends after it starts, got ${wording({ from, to })}`,
    { remedy: 'swap or correct the two times' },
  )
}

function outside({ from, to }: LogWindow, trace: Trace): InputError {
  const lastS = trace.timesS.at(-1)!
  return new InputError(
    'window-outside',
    `expected a part with at least 2 samples of a log that lasts ${lastS.toFixed(0)} s, got ${wording({ from, to })}`,
    { remedy: 'give elapsed seconds of the log, MM:SS, HH:MM:SS or the time of day' },
  )
}

function wording({ from, to }: LogWindow): string {
  return [from && `from \`${from.text}\``, to && `to \`${to.text}\``].filter(Boolean).join(' ')
}
