import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { daysOfDate, parseStamp } from '../../src/log/time/parseStamp.js'
import type { LogOptions, ParsedLog } from '../../src/log/trace.js'
import { rfc3339Examples } from '../certified/logFormats.js'

const times = (log: ParsedLog): number[] =>
  Array.from(log.trace.timesS, (value) => Math.round(value * 1e6) / 1e6)
const kinds = (log: ParsedLog): string[] => log.repairs.map(({ kind, count }) => `${kind} ${count}`)
/** A log of these stamps, power counting up from 5 W. */
const logOf = (stamps: readonly (string | number)[], name = 'Time', options?: LogOptions): ParsedLog =>
  parseLog(`${name};power_w\n${stamps.map((stamp, i) => `${stamp};${5 + i}`).join('\n')}\n`, options)
const range = <T>(n: number, of: (i: number) => T): T[] => Array.from({ length: n }, (_, i) => of(i))

describe('forms of time', () => {
  it.each([
    ['Time [s]', [10, 10.5, 11.5]],
    ['elapsed_ms', [10000, 10500, 11500]],
    ['t (µs)', [10e6, 10.5e6, 11.5e6]],
    ['Time (min)', [1 / 6, 0.175, 11.5 / 60]],
    ['epoch_s', [1790047531, 1790047531.5, 1790047532.5]],
    ['epoch_ms', [1790047531000, 1790047531500, 1790047532500]],
    ['timestamp', [1790047531000, 1790047531500, 1790047532500]],
    ['timestamp', [1790047531000000, 1790047531500000, 1790047532500000]],
    ['Timestamp', ['2026-09-23T00:55:33.000Z', '2026-09-23T00:55:33.500Z', '2026-09-23T00:55:34.500Z']],
    ['Timestamp', ['2026-09-23 00:55:33,000', '2026-09-23 00:55:33,500', '2026-09-23 00:55:34,500']],
    ['Timestamp', ['2026-09-23t02:55:33+02:00', '2026-09-23T00:55:33.5z', '2026-09-22T19:55:34.5-0500']],
    ['Timestamp', ['20260923T005533Z', '20260923T005533.5Z', '20260923T005534.5Z']],
    ['Uhrzeit', ['20:03:38', '20:03:38.5', '20:03:39.5']],
    ['Time', ['8:03:38 PM', '8:03:38.5 PM', '8:03:39.5 PM']],
    ['Time', ['23.09.2026 20:03:38.0', '23.09.2026 20:03:38.5', '23.09.2026 20:03:39.5']],
    ['Time', ['9/23/2026 20:03:38.0', '9/23/2026 20:03:38.5', '9/23/2026 20:03:39.5']],
    ['Time', ['23/09/2026 20:03:38.0', '23/09/2026 20:03:38.5', '23/09/2026 20:03:39.5']],
    ['Time', ['2026/09/23 20:03:38.0', '2026/09/23 20:03:38.5', '2026/09/23 20:03:39.5']],
    ['Elapsed time', ['00:00:10.0', '00:00:10.5', '00:00:11.5']],
    ['Elapsed', ['00:10.0', '00:10.5', '00:11.5']],
    ['Elapsed', ['30:00:10.0', '30:00:10.5', '30:00:11.5']],
  ] as const)('%s %j is read', (name, stamps) => {
    expect(times(logOf(stamps, name))).toEqual([0, 0.5, 1.5])
  })

  it.each(rfc3339Examples)(
    'the published stamp $text is $epochS seconds after 1970 (RFC 3339, section 5.8)',
    ({ text, epochS }) => {
      expect(logOf([text, '2030-01-01T00:00:00Z']).trace.startEpochS).toBeCloseTo(epochS, 6)
    },
  )

  it('date and time may stand in two columns, apart and in any order', () => {
    const log = parseLog(
      'Time,power_w,Date\n23:59:59.5,5,23.09.2026\n00:00:00.0,6,24.09.2026\n00:00:00.5,7,24.09.2026\n',
    )
    expect(times(log)).toEqual([0, 0.5, 1])
    expect(log.columns.time).toBe('Date + Time')
    expect(log.trace.startOfDayS).toBe(86399.5)
    expect(log.trace.startEpochS).toBe(Date.UTC(2026, 8, 23, 23, 59, 59, 500) / 1000)
  })

  it('a time of day runs on over midnight', () => {
    expect(times(logOf(['23:59:58', '23:59:59', '00:00:00', '00:00:01']))).toEqual([0, 1, 2, 3])
  })

  it('a time of day alone has no date; an elapsed time has no time of day', () => {
    expect(logOf(['20:03:38', '20:03:39']).trace).toMatchObject({ startEpochS: null, startOfDayS: 72218 })
    expect(logOf(['00:00:01', '00:00:02'], 'Elapsed').trace).toMatchObject({
      startEpochS: null,
      startOfDayS: null,
    })
    expect(logOf([1790047531, 1790047532], 'epoch_s').trace).toMatchObject({
      startEpochS: 1790047531,
      startOfDayS: null,
    })
  })

  it('slashed dates are month first, unless a later row or the length of the log says otherwise', () => {
    const epoch = (stamps: readonly string[]) => logOf(stamps).trace.startEpochS
    expect(epoch(['03/04/2026 10:00:00', '03/04/2026 10:00:01'])).toBe(Date.UTC(2026, 2, 4, 10) / 1000)
    expect(epoch(['12/04/2026 23:59:59', '13/04/2026 00:00:00'])).toBe(
      Date.UTC(2026, 3, 12, 23, 59, 59) / 1000,
    )
    expect(epoch(['03/04/2026 23:59:59', '04/04/2026 00:00:00'])).toBe(
      Date.UTC(2026, 3, 3, 23, 59, 59) / 1000,
    )
  })

  it('impossible dates and times are not stamps', () => {
    for (const text of ['2026-13-01', '32.01.2026', '25:61:00', '2026-09-23T24:99:00Z', 'yesterday', '']) {
      expect(parseStamp(text)).toBeUndefined()
    }
    expect(daysOfDate(parseStamp('2026-02-30')!.date!, 'month-day')).toBeUndefined()
    expect(daysOfDate(parseStamp('2024-02-29')!.date!, 'month-day')).toBe(19782)
  })

  it('two columns of time that agree are one clock, the finer one; two that disagree are an error', () => {
    const same = 'Time (s),Elapsed (ms),power_w\n0,0,5\n1,1010,6\n2,2020,7\n'
    expect(parseLog(same).trace.timesS).toHaveLength(3)
    const unclear = 'start time (s),busy time (s),power_w\n0,0,5\n1,3,6\n2,6,7\n'
    expect(() => parseLog(unclear)).toThrow(InputError)
    expect(times(parseLog(unclear, { time: 'busy time' }))).toEqual([0, 3, 6])
  })

  it('a duration that does not rise is not taken for the time', () => {
    const log = parseLog('Frame time (ms),Time (s),power_w\n16.6,0,5\n17.1,1,6\n16.2,2,7\n16.9,3,8\n')
    expect(log.columns.time).toBe('Time (s)')
  })
})

describe('what clocks do', () => {
  it('rows out of order are put back', () => {
    const log = logOf([0, 1, 3, 2, 4, 5, 9, 10, 6, 7, 8, 11, 12], 'time_s')
    expect(times(log)).toEqual(range(13, (i) => i))
    expect(Array.from(log.trace.powerW.slice(0, 5))).toEqual([5, 6, 8, 7, 9])
    expect(log.repairs[0]).toMatchObject({ kind: 'out-of-order', firstLine: 5 })
  })

  it('rows written twice are dropped, and counted', () => {
    const log = parseLog('time_s;power_w\n0;5\n1;6\n1;6\n2;7\n3;8\n4;9\n5;9\n6;9\n7;9\n8;9\n9;9\n')
    expect(times(log)).toEqual(range(10, (i) => i))
    expect(kinds(log)).toEqual(['duplicate 1'])
  })

  it('a block that was appended twice is dropped', () => {
    const rows = range(20, (i) => i).map((i) => `${i};${5 + i}`)
    const log = parseLog(`time_s;power_w\n${[...rows, ...rows.slice(10)].join('\n')}`)
    expect(times(log)).toEqual(range(20, (i) => i))
    expect(kinds(log)).toContain('duplicate 10')
  })

  it('different samples of one time are merged into their mean', () => {
    const log = parseLog('time_s;power_w\n0;5\n1;6\n2;7\n2;9\n3;8\n4;9\n5;9\n6;9\n7;9\n8;9\n')
    expect(Array.from(log.trace.powerW.slice(0, 4))).toEqual([5, 6, 8, 8])
    expect(kinds(log)).toEqual(['duplicate-time 1'])
  })

  it('a clock set back is followed as if it had not been', () => {
    const log = logOf([...range(50, (i) => 100 + i), ...range(50, (i) => 130 + i)], 'time_s')
    expect(times(log)).toEqual(range(100, (i) => i))
    expect(log.repairs[0]).toMatchObject({ kind: 'clock-jump', count: 1, firstLine: 52 })
    expect(log.repairs[0]!.detail).toContain('-20 s')
  })

  it('a small step back of the clock is one too', () => {
    const log = logOf([...range(20, (i) => i), ...range(20, (i) => 18.7 + i)], 'time_s')
    expect(times(log)).toEqual(range(40, (i) => i))
    expect(kinds(log)).toEqual(['clock-jump 1'])
  })

  it('stamps that fall back by a second for a while, as when a carry is lost, are moved for that while only', () => {
    const stamps = [...range(20, (i) => i + 0.05), ...range(9, (i) => 19 + i), ...range(20, (i) => 29.05 + i)]
    const found = times(logOf(stamps, 'time_s'))
    expect(found).toHaveLength(49)
    found.forEach((time, i) => {
      expect(Math.abs(time - i)).toBeLessThan(0.06)
    })
  })

  it('a full second that was printed without its carry is moved on by one second', () => {
    const truth = range(60, (i) => 10 * 3600 + i + (i < 20 ? 0.95 : i < 40 ? 1 : 1.05))
    const stamps = truth.map((t, i) =>
      new Date((t - (i >= 20 && i < 40 ? 1 : 0)) * 1000).toISOString().slice(11, 23),
    )
    const log = logOf(stamps)
    times(log).forEach((t, i) => {
      expect(t).toBeCloseTo(truth[i]! - truth[0]!, 3)
    })
    expect(log.repairs[0]).toMatchObject({ kind: 'lost-carry', count: 20, firstLine: 22 })
  })

  it('rows that changed places are put back also where stamps are coarser than the sampling', () => {
    const seconds = range(100, (i) => Math.floor(i / 5))
    for (const at of [24, 49, 74]) [seconds[at], seconds[at + 1]] = [seconds[at + 1]!, seconds[at]!]
    const log = logOf(seconds.map((s) => new Date(s * 1000).toISOString().slice(11, 19)))
    expect(kinds(log)).toEqual(['out-of-order 3', expect.stringMatching(/^coarse-time/)])
    expect(times(log).at(-1)).toBeCloseTo(99 / 5, 0)
  })

  it('a sample without a power still counts when stamps are spread', () => {
    const rows = range(
      60,
      (i) => `${new Date(Math.floor(i / 2) * 1000).toISOString().slice(11, 19)};${i % 7 === 3 ? '' : 40 + i}`,
    )
    const log = parseLog(`Time;power_w\n${rows.join('\n')}\n`)
    const wanted = range(60, (i) => i / 2).filter((_, i) => i % 7 !== 3)
    times(log).forEach((t, i) => {
      expect(Math.abs(t - wanted[i]!)).toBeLessThan(0.3)
    })
  })

  it('a log with the newest row first is turned round', () => {
    const log = logOf(
      range(30, (i) => 100 - i),
      'time_s',
    )
    expect(times(log)).toEqual(range(30, (i) => i))
    expect(log.trace.powerW[0]).toBe(34)
    expect(kinds(log)).toEqual(['newest-first 1'])
    const stamps = range(30, (i) => new Date((3600 * 24 + 10 - i) * 1000).toISOString().slice(11, 19))
    expect(times(logOf(stamps))).toEqual(range(30, (i) => i))
  })

  it('a logger that starts again from zero goes on where it stopped', () => {
    const log = logOf([...range(30, (i) => i), ...range(30, (i) => i)], 'time_s')
    expect(times(log)).toEqual(range(60, (i) => i))
    expect(kinds(log)).toEqual(['clock-jump 1'])
  })

  it('the end and the start of summer time leave no hole and no overlap', () => {
    const stamp = (s: number) => new Date(s * 1000).toISOString().slice(0, 19).replace('T', ' ')
    const autumn = Date.UTC(2026, 9, 25, 3) / 1000
    const back = logOf(
      [...range(60, (i) => autumn - 60 + i), ...range(60, (i) => autumn - 3600 + i)].map(stamp),
    )
    expect(times(back)).toEqual(range(120, (i) => i))
    const spring = Date.UTC(2026, 2, 29, 2) / 1000
    const forward = logOf(
      [...range(60, (i) => spring - 60 + i), ...range(60, (i) => spring + 3600 + i)].map(stamp),
    )
    expect(times(forward)).toEqual(range(120, (i) => i))
    expect(kinds(forward)).toEqual(['clock-jump 1'])
  })

  it('one wild stamp is set aside', () => {
    const log = logOf([0, 1, 2, 9999, 4, 5, 6, 7], 'time_s')
    expect(times(log)).toEqual([0, 1, 2, 4, 5, 6, 7])
    expect(kinds(log)).toContain('wild-time 1')
  })

  it('lost samples and pauses of the logger are counted and left as they are', () => {
    const log = logOf([0, 1, 2, 4, 5, 8, 9, 10, 60, 61, 62, 63], 'time_s')
    expect(times(log)).toEqual([0, 1, 2, 4, 5, 8, 9, 10, 60, 61, 62, 63])
    expect(kinds(log)).toEqual(['missing 3', 'gap 1'])
  })

  it('stamps coarser than the sampling are spread to within a sample', () => {
    for (const every of [0.25, 0.5, 0.6, 0.9]) {
      const truth = range(200, (i) => 0.37 + i * every)
      const log = logOf(truth.map((t) => new Date(Math.floor(t) * 1000).toISOString().slice(11, 19)))
      const error = Array.from(log.trace.timesS, (t, i) => Math.abs(t - i * every))
      expect(Math.max(...error)).toBeLessThan(0.6 * every)
      expect(kinds(log)).toEqual([expect.stringMatching(/^coarse-time/)])
    }
  })

  it('stamps of whole minutes are spread over the minute', () => {
    const log = logOf(
      range(300, (i) => i * 2).map((t) => new Date(Math.floor(t / 60) * 60000).toISOString().slice(11, 16)),
    )
    const error = Array.from(log.trace.timesS, (t, i) => Math.abs(t - i * 2))
    expect(Math.max(...error)).toBeLessThan(2)
  })

  it('times that keep jumping back are an error, not a hang', () => {
    const stamps = range(20000, (i) => (i * 7919) % 104729)
    expect(() => logOf(stamps, 'time_s')).toThrow(InputError)
  })

  it('a time cell that cannot be read sets its sample aside', () => {
    const log = logOf(['20:03:38', '20:03:39', '20:99:40', '20:03:41'])
    expect(times(log)).toEqual([0, 1, 3])
    expect(kinds(log)).toContain('no-time 1')
  })
})

describe('clocks beside each other', () => {
  it('an elapsed time measures, and a date and time beside it say when the log began', () => {
    const log = parseLog(
      'Date,Time,Elapsed (ms),power_w\n23.09.2026,20:03:38,0,5\n23.09.2026,20:03:38,500,\n23.09.2026,20:03:39,1000,6\n23.09.2026,20:03:39,1500,7\n',
    )
    expect(log.columns.time).toBe('Elapsed (ms)')
    expect(log.trace).toMatchObject({
      startOfDayS: 72218,
      startEpochS: Date.UTC(2026, 8, 23, 20, 3, 38) / 1000,
    })
  })

  it('a clock that stands still is an error, or the given interval is used instead', () => {
    const text = 'Time;power_w\n20:03:38;5\n20:03:38;6\n20:03:38;7\n'
    expect(() => parseLog(text)).toThrow(/one and the same time/)
    expect(times(parseLog(text, { everyS: 2 }))).toEqual([0, 2, 4])
    expect(() => parseLog(text, { everyS: 0 })).toThrow(InputError)
  })
})
