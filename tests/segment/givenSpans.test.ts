import { describe, expect, it } from 'vitest'
import { parseRunTime } from '../../src/log/time/parseRunTime.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { type GivenLoad, givenSpans } from '../../src/segment/givenSpans.js'
import { resolveLoads, warnOfGivenLoads } from '../../src/segment/resolveLoads.js'
import { makeSteps, traceOf } from './makeSteps.js'

/** Idle, three rounds with pauses, a long pause, and a load of another power. */
const TRACE = makeSteps({
  levels: [
    [6, 30.4],
    [90, 20],
    [60, 100.2],
    [6, 10.3],
    [60, 120.2],
    [6, 10.4],
    [60, 120.1],
    [6, 90.2],
    [40, 200.3],
    [6, 30],
  ],
})
const FOUND = findLoads(TRACE)
const spans = (loads: readonly { readonly startS: number; readonly endS: number }[]) =>
  loads.map(({ startS, endS }) => [startS, endS])

describe('loads that a person set', () => {
  it('give the very figures of those that were found when they stand where those did', () => {
    const given = FOUND.map(({ startS, endS }) => ({
      startS: Number(startS.toFixed(3)),
      endS: Number(endS.toFixed(3)),
    }))
    expect(FOUND.length).toBeGreaterThan(1)
    expect(findLoads(TRACE, { given })).toEqual(FOUND)
  })

  it('hold the pauses that were found inside, when two loads are joined', () => {
    const [joined, ...more] = findLoads(TRACE, {
      given: [{ startS: FOUND[0]!.startS, endS: FOUND.at(-1)!.endS }],
    })
    expect(more).toEqual([])
    expect(joined!.runs.length).toBe(4)
    expect([joined!.startS, joined!.endS]).toEqual([FOUND[0]!.startS, FOUND.at(-1)!.endS])
  })

  it('begin and end at the sample where they were set, inside work and outside of it', () => {
    const loads = findLoads(TRACE, {
      given: [
        { startS: 20, endS: 100 },
        { startS: 100, endS: 140 },
        { startS: 450, endS: 600 },
      ],
    })
    expect(spans(loads)).toEqual([
      [20, 100],
      [100, 140],
      [450, 600],
    ])
    expect(loads[2]!.stages.at(-1)!.levelW.value).toBeCloseTo(40, 0)
  })

  it('may lie where no work was found', () => {
    const [load] = findLoads(TRACE, { given: [{ startS: 425, endS: 490 }] })
    expect(load!.runs.length).toBe(1)
    expect(load!.stages[0]!.levelW.value).toBeCloseTo(6, 0)
  })

  it('leave all other work out', () => {
    expect(findLoads(TRACE, { given: [{ startS: 30, endS: 150 }] }).length).toBe(1)
  })
})

describe('a span that a person set', () => {
  /** Samples every 2 s to 110 s: work from 8 to 48 s and from 58 to 98 s. */
  const powerW = Float64Array.from({ length: 56 }, (_, i) => (i % 25 >= 5 && i < 50 ? 60 : 6))
  const trace = traceOf(
    powerW.map((_, i) => 2 * i),
    powerW,
  )
  const work = [
    { from: 5, to: 25, idleBeforeW: 6, idleAfterW: 6 },
    { from: 30, to: 50, idleBeforeW: 6, idleAfterW: 6 },
  ]
  const runsOf = (startS: number, endS: number, averaged = true) =>
    givenSpans(trace, [{ startS, endS } satisfies GivenLoad], { work, averaged }).map(
      ({ from, to, runs }) => {
        expect([from, to]).toEqual([runs[0]!.from, runs.at(-1)!.to])
        return runs.map((run) => [run.from, run.to, run.idleBeforeW, run.idleAfterW])
      },
    )

  it('has the edges that were found within half a sample, and its own elsewhere', () => {
    const both = [5, 25, 6, 6]
    expect(runsOf(8.9, 97.1)).toEqual([[both, [30, 50, 6, 6]]])
    expect(runsOf(7.1, 98.9)).toEqual([[both, [30, 50, 6, 6]]])
    // A mean belongs to a load when most of its interval does.
    expect(runsOf(9.1, 96.9)).toEqual([
      [
        [6, 25, null, 6],
        [30, 49, 6, null],
      ],
    ])
    expect(runsOf(10.9, 30)).toEqual([[[6, 16, null, null]]])
  })

  it('reaches to where it was set, over idle too', () => {
    expect(runsOf(0, 104)).toEqual([
      [
        [0, 25, null, 6],
        [30, 53, 6, null],
      ],
    ])
    expect(runsOf(6.9, 99.1)).toEqual([
      [
        [4, 25, null, 6],
        [30, 51, 6, null],
      ],
    ])
    expect(runsOf(0, 110)[0]![1]).toEqual([30, 56, 6, null])
  })

  it('holds no work but its own, and what lies inside it where there is none', () => {
    expect(runsOf(20, 40)).toEqual([[[11, 21, null, null]]])
    expect(runsOf(20, 50)).toEqual([[[11, 26, null, null]]])
    expect(runsOf(50, 57)).toEqual([[[26, 29, null, null]]])
    expect(runsOf(48, 58)).toEqual([[[25, 30, null, null]]])
  })

  it('needs two samples', () => {
    expect(runsOf(50, 54)).toEqual([[[26, 28, null, null]]])
    expect(runsOf(50, 52)).toEqual([])
    expect(runsOf(20, 22)).toEqual([])
    expect(runsOf(20, 24)).toEqual([[[11, 13, null, null]]])
  })

  it('of instants holds those inside', () => {
    expect(runsOf(12, 20, false)).toEqual([[[6, 10, null, null]]])
    expect(runsOf(12.1, 20.1, false)).toEqual([[[7, 11, null, null]]])
    expect(runsOf(0, 20, false)[0]![0]![0]).toBe(0)
  })
})

describe('times of loads that a person wrote', () => {
  const times = (...pairs: readonly (readonly [string, string])[]) =>
    pairs.map(([from, to]) => ({ from: parseRunTime(from), to: parseRunTime(to) }))

  it('are read as elapsed times, or as times of day where the log has a clock, and put in order', () => {
    const clocked = { ...TRACE, startOfDayS: 12 * 3600 }
    expect(resolveLoads(times(['12:05:00', '12:06:00'], ['12:01:00', '12:02:30']), clocked)).toEqual([
      { startS: 60, endS: 150 },
      { startS: 300, endS: 360 },
    ])
    expect(resolveLoads(times(['1:00', '150 s']), TRACE)).toEqual([{ startS: 60, endS: 150 }])
  })

  it('are all read alike: as times of day where one of them lies outside as an elapsed time', () => {
    const clocked = { ...TRACE, startOfDayS: 30 }
    expect(resolveLoads(times(['00:02:00', '00:03:00']), clocked)).toEqual([{ startS: 120, endS: 180 }])
    const later = ['00:12:25', '00:12:35'] as const
    expect(resolveLoads(times(['00:02:00', '00:03:00'], later), clocked)).toEqual([
      { startS: 90, endS: 150 },
      { startS: 715, endS: 725 },
    ])
  })

  it('may reach over the ends of the log by 2 s, and over one another by what they are rounded to', () => {
    const lastS = TRACE.timesS.at(-1)!
    expect(resolveLoads(times([`${lastS - 20} s`, `${lastS + 1.9} s`]), TRACE)[0]!.endS).toBe(lastS)
    const late = { ...TRACE, timesS: TRACE.timesS.map((timeS) => timeS + 1.5) }
    expect(resolveLoads(times(['0 s', '20 s']), late)[0]!.startS).toBe(1.5)
    expect(resolveLoads(times(['30 s', '60.05 s'], ['60 s', '90 s']), TRACE)).toHaveLength(2)
  })

  it('hold four samples at least', () => {
    expect(resolveLoads(times(['30 s', '34 s']), TRACE)).toHaveLength(1)
    expect(() => resolveLoads(times(['30 s', '33 s']), TRACE)).toThrow('at least 4 samples')
  })

  it.each([
    ['90 s', '30 s', /ends after it starts, got one from `90 s` to `30 s`/, /swap or correct/],
    ['30 s', '5000 s', /of a log from 0 to 7\d\d s, got one from `30 s` to `5000 s`/, /elapsed seconds/],
    ['30 s', '2:05:00 pm', /no time of day, got a load from `30 s`/, /seconds since the log began/],
  ])('are refused with what was written, and where: from %s to %s', (from, to, message, remedy) => {
    expect(() => resolveLoads(times([from, to]), TRACE, { file: 'a.yaml', line: 7 })).toThrow(
      expect.objectContaining({
        message: expect.stringMatching(message),
        details: { where: { file: 'a.yaml', line: 7 }, remedy: expect.stringMatching(remedy) },
      }),
    )
  })

  it('that overlap are both named', () => {
    expect(() => resolveLoads(times(['80 s', '120 s'], ['30 s', '90 s']), TRACE)).toThrow(
      expect.objectContaining({
        message: expect.stringMatching(/one from `30 s` to `90 s` and one from `80 s` to `120 s`/),
        details: { remedy: expect.stringMatching(/correct/) },
      }),
    )
  })

  it('are told as a person’s', () => {
    expect(warnOfGivenLoads(times(['0 s', '9 s'], ['20 s', '30 s']), 'a.csv')).toEqual([
      { code: 'loads-given', file: 'a.csv', loads: 2 },
    ])
    expect(warnOfGivenLoads(undefined, 'a.csv')).toEqual([])
  })

  it.each([
    ['a load that ends before it begins', [['90 s', '30 s']], 'load-reversed'],
    ['a load of no length', [['30 s', '30 s']], 'load-reversed'],
    ['a load outside of the log', [['30 s', '5000 s']], 'load-outside'],
    ['a load of two samples', [['30 s', '32 s']], 'load-outside'],
    [
      'two loads that overlap',
      [
        ['30 s', '90 s'],
        ['80 s', '120 s'],
      ],
      'loads-overlap',
    ],
    ['a time of day in a log without a clock', [['2:01:00 pm', '2:05:00 pm']], 'loads-need-clock'],
  ] as const)('are refused in words: %s', (_what, pairs, code) => {
    expect(() => resolveLoads(times(...pairs), TRACE)).toThrow(expect.objectContaining({ code }))
  })
})
