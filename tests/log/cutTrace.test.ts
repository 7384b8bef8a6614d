import { describe, expect, it } from 'vitest'
import { cutTrace } from '../../src/log/cutTrace.js'
import { parseLog } from '../../src/log/parseLog.js'
import { parseRunTime } from '../../src/log/time/parseRunTime.js'
import type { LogOptions } from '../../src/log/trace.js'

/** A sample every 10 s; its power is its number. */
function log(stampOf: (second: number) => string): string {
  const rows = Array.from({ length: 200 }, (_, k) => `${stampOf(10 * k)},${k + 1},${40 + k / 10}`)
  return ['time,power_w,temp_c', ...rows].join('\n')
}

const twoDigits = (value: number) => String(value).padStart(2, '0')
const ofDay = (second: number) =>
  [Math.floor(second / 3600) % 24, Math.floor(second / 60) % 60, second % 60].map(twoDigits).join(':')

function timesOf(text: string, window: { readonly from?: string; readonly to?: string }) {
  const options: LogOptions = {
    ...(window.from === undefined ? {} : { from: parseRunTime(window.from) }),
    ...(window.to === undefined ? {} : { to: parseRunTime(window.to) }),
  }
  const { trace } = parseLog(text, options)
  return { first: trace.timesS[0], last: trace.timesS.at(-1), trace }
}

describe('a part of a log', () => {
  const elapsed = log(String)
  // From 23:50 on, over midnight.
  const clock = log((second) => ofDay(second + 85_800))
  const dated = log((second) => new Date(Date.UTC(2026, 2, 1, 23, 50) + 1000 * second).toISOString())

  it.each([
    [elapsed, { from: '100s', to: '300s' }, 100, 300],
    [elapsed, { from: '01:40', to: '5 min' }, 100, 300],
    [elapsed, { from: '105' }, 110, 1990],
    [elapsed, { to: '00:05:05' }, 0, 300],
    [clock, { from: '23:55:00', to: '00:05:00' }, 300, 900],
    [clock, { from: '12:05:00 am' }, 900, 1990],
    [dated, { from: '2026-03-02 00:00:00' }, 600, 1990],
    [dated, { from: '23:55:00', to: '2026-03-02T00:05:00Z' }, 300, 900],
  ] as const)('begins and ends where it is asked to %#', (text, window, first, last) => {
    expect(timesOf(text, window)).toMatchObject({ first, last })
  })

  it('keeps each column beside its times, which count from the first sample of the log', () => {
    const { trace } = timesOf(elapsed, { from: '100s', to: '300s' })
    expect(trace.powerW).toHaveLength(21)
    expect(trace.powerW[0]).toBe(11)
    expect(trace.temperatureC![0]).toBeCloseTo(41, 9)
    expect(trace.temperatures![0]!.celsius).toHaveLength(21)
  })

  it('is the trace itself where no part is asked for', () => {
    const { trace } = parseLog(elapsed)
    expect(cutTrace(trace, {})).toBe(trace)
  })

  it.each([
    [elapsed, { from: '5000s' }, 'window-outside'],
    [elapsed, { from: '101s', to: '109s' }, 'window-outside'],
    [elapsed, { from: '300s', to: '100s' }, 'window-reversed'],
    [elapsed, { from: '2:05:33 pm' }, 'window-needs-clock'],
    [elapsed, { to: '2026-03-01 14:02:10' }, 'window-needs-clock'],
  ] as const)('is refused where there is none %#', (text, window, code) => {
    expect(() => timesOf(text, window)).toThrow(expect.objectContaining({ code }))
  })
})
