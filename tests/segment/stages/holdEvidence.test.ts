import { describe, expect, it } from 'vitest'
import { REASON, type Trace } from '../../../src/log/trace.js'
import {
  columnEvidence,
  type LogContext,
  logContext,
  missingColumns,
  valuesIn,
} from '../../../src/segment/stages/holdEvidence.js'
import { traceOf } from '../makeSteps.js'

const N = 100
const timesS = Float64Array.from({ length: N }, (_, i) => i)
const constant = (value: number) => new Float64Array(N).fill(value)
/** `count` samples of one value, then the other one. */
const mixed = (value: number, count: number, other: number) => constant(other).fill(value, 0, count)

function traceWith(columns: Partial<Trace>): Trace {
  return { ...traceOf(timesS, constant(50)), ...columns }
}

const whole = [{ startS: -1, endS: N }]
/** A log that shows nothing more than the stage itself. */
const alone: LogContext = { highestClockHz: null, heldW: 50, namesLimit: false }

function told(columns: Partial<Trace>, log: Partial<LogContext> = {}) {
  return columnEvidence(traceWith(columns), whole, 50, { ...alone, ...log })
}

// Shares and figures: the contract of the formats and the constants of holdEvidence.ts, which name their sources.
describe('the log’s own reasons', () => {
  const reasons = (flag: number, count: number) => Uint8Array.from(mixed(flag, count, 0))

  it.each([
    [REASON.heat, 'heat', 'heat'],
    [REASON.powerLimit, 'power-limit', 'a power limit'],
    [REASON.demand, 'demand', 'the task itself'],
  ] as const)('speak when half of the samples name one (%i)', (flag, label, name) => {
    expect(told({ reasons: reasons(flag, 50) })).toEqual({
      label,
      reason: 'named',
      agreeing: 1,
      belowFull: false,
      evidence: [`the log's reason is ${name} in 50 % of the samples`],
    })
    expect(told({ reasons: reasons(flag, 49) })).toBeNull()
  })

  it('speak for heat where both heat and a limit are named, and are found among other flags', () => {
    expect(told({ reasons: reasons(REASON.heat | REASON.powerLimit | REASON.idle, 100) })?.label).toBe('heat')
    expect(told({ reasons: reasons(REASON.powerLimit | REASON.demand, 100) })?.label).toBe('power-limit')
  })

  it('speak for the task when nine tenths of the samples name none, in a log that names a limit elsewhere', () => {
    const silent = { reasons: reasons(REASON.powerLimit, 10) }
    expect(told(silent, { namesLimit: true })).toEqual({
      label: 'demand',
      reason: 'none',
      agreeing: 1,
      belowFull: false,
      evidence: ['the log names no reason in 90 % of the samples, and a power limit elsewhere'],
    })
    expect(told(silent)).toBeNull()
    expect(told({ reasons: reasons(REASON.powerLimit, 11) }, { namesLimit: true })).toBeNull()
  })

  it('say nothing of a stage without samples', () => {
    const trace = traceWith({ reasons: reasons(REASON.heat, 100) })
    expect(columnEvidence(trace, [{ startS: 200, endS: 300 }], 50, alone)).toBeNull()
  })
})

describe('a logged limit', () => {
  it('holds power within 2 % of it, on either side', () => {
    expect(told({ limitW: constant(51) })).toMatchObject({
      label: 'power-limit',
      reason: undefined,
      evidence: ['power sticks to the logged limit of 51.0 W'],
    })
    expect(told({ limitW: constant(51.1) })).toBeNull()
    expect(told({ limitW: constant(49.1) })?.label).toBe('power-limit')
    expect(told({ limitW: constant(48.9) })).toBeNull()
    expect(told({ limitW: constant(Number.NaN) })).toBeNull()
  })
})

describe('use', () => {
  it('below 85 % is a task that asks for less', () => {
    expect(told({ usePct: constant(84) })).toMatchObject({
      label: 'demand',
      evidence: ['use is 84 %, below full'],
    })
    expect(told({ usePct: constant(85) })).toBeNull()
    expect(told({ usePct: constant(Number.NaN) })).toBeNull()
  })
})

describe('the clock', () => {
  const clock = (hz: number) => told({ clockHz: constant(hz) }, { highestClockHz: 4e9 })

  it('at the log’s highest is not held down', () => {
    expect(clock(3.94e9)).toMatchObject({
      label: 'demand',
      evidence: ["the clock is 3.94 GHz, the log's highest 4.00 GHz"],
    })
  })

  it('well below it is, and in between it says nothing', () => {
    expect(clock(3.93e9)).toBeNull()
    expect(clock(3.72e9)).toBeNull()
    expect(clock(3.71e9)?.label).toBe('power-limit')
  })

  it('is none where the column holds no clock', () => {
    expect(clock(0.9e6)).toBeNull()
    expect(clock(1e6)?.label).toBe('power-limit')
    expect(told({ clockHz: constant(4e9) })).toBeNull()
    expect(told({}, { highestClockHz: 4e9 })).toBeNull()
  })
})

describe('power against what the machine holds elsewhere', () => {
  it('below 45 % of it is a task that asks for less', () => {
    expect(told({}, { heldW: 112 })).toMatchObject({
      label: 'demand',
      evidence: ['power is 50.0 W, and the machine holds 112.0 W elsewhere in the log'],
    })
    expect(told({}, { heldW: 110 })).toBeNull()
  })

  it('is no sign where use is full', () => {
    expect(told({ usePct: constant(85) }, { heldW: 200 })).toBeNull()
    expect(told({ usePct: constant(84) }, { heldW: 200 })?.agreeing).toBe(2)
    expect(told({ usePct: constant(Number.NaN) }, { heldW: 200 })?.label).toBe('demand')
  })
})

it('signs that agree are counted, and what contradicts them is told', () => {
  const signs = told(
    { limitW: constant(50), usePct: constant(60), clockHz: constant(2e9) },
    { highestClockHz: 4e9 },
  )
  expect(signs).toMatchObject({ label: 'power-limit', agreeing: 2 })
  expect(signs!.evidence).toEqual([
    'power sticks to the logged limit of 50.0 W',
    "the clock is 2.00 GHz, the log's highest 4.00 GHz",
    'against it: use is 60 %, below full',
  ])
})

describe('what the rest of a log shows', () => {
  const span = (from: number, to: number) => ({
    runs: [{ from, to, idleBeforeW: null, idleAfterW: null }],
  })
  const powerW = mixed(80, 40, 50)

  it('is the most that a load of half a minute was held at', () => {
    const trace = traceWith({ powerW })
    expect(logContext(trace, [span(0, 31), span(50, 90)] as never).heldW).toBe(80)
    expect(logContext(trace, [span(0, 30), span(50, 90)] as never).heldW).toBe(50)
    expect(logContext(trace, []).heldW).toBe(0)
  })

  it('goes by the longest run of a load', () => {
    const runs = [...span(0, 35).runs, ...span(45, 99).runs, ...span(0, 2).runs]
    expect(logContext(traceWith({ powerW }), [{ runs }] as never).heldW).toBe(50)
    const early = [...span(0, 35).runs, ...span(90, 95).runs]
    expect(logContext(traceWith({ powerW }), [{ runs: early }] as never).heldW).toBe(80)
    expect(logContext(traceWith({ powerW }), [span(60, 90)] as never).heldW).toBe(0)
  })

  it('is its highest clock, and whether it names a limit anywhere', () => {
    expect(logContext(traceWith({}), [])).toMatchObject({ highestClockHz: null, namesLimit: false })
    expect(logContext(traceWith({ clockHz: mixed(5e9, 50, 100) }), []).highestClockHz).toBe(5e9)
    expect(logContext(traceWith({ clockHz: constant(100) }), []).highestClockHz).toBeNull()
    const named = Uint8Array.from(mixed(REASON.powerLimit | REASON.heat, 1, REASON.heat))
    expect(logContext(traceWith({ reasons: named }), []).namesLimit).toBe(true)
    expect(logContext(traceWith({ reasons: named.fill(REASON.heat) }), []).namesLimit).toBe(false)
  })
})

it('names the first three columns that would tell, or asks for another test', () => {
  const column = constant(1)
  expect(missingColumns(traceWith({}))).toBe(
    'a column with the set power limit, the reason of the limit, the clock would show which',
  )
  expect(missingColumns(traceWith({ limitW: column, clockHz: column, reasons: new Uint8Array(N) }))).toBe(
    'a column with use, temperature would show which',
  )
  const all = {
    limitW: column,
    clockHz: column,
    usePct: column,
    temperatureC: column,
    reasons: new Uint8Array(N),
  }
  expect(missingColumns(traceWith(all))).toBe('a longer test, or one of a stronger task, would show which')
})

it('values of a stretch end with it and begin behind its start, and gaps are passed over', () => {
  const column = Float64Array.from(timesS)
  column[12] = Number.NaN
  const times = [
    { startS: 10, endS: 14 },
    { startS: 97.5, endS: 200 },
  ]
  expect(valuesIn(traceWith({}), column, times)).toEqual([11, 13, 14, 98, 99])
})
