import { describe, expect, it } from 'vitest'
import { parseRunTime } from '../../src/log/time/parseRunTime.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { resolveLoads } from '../../src/segment/resolveLoads.js'
import { makeSteps } from './makeSteps.js'

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

  it.each([
    ['a load that ends before it begins', [['90 s', '30 s']], 'load-reversed'],
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
