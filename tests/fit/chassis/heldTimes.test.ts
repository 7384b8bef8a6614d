import { describe, expect, it } from 'vitest'
import { heldTimes } from '../../../src/fit/chassis/heldTimes.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { predictPower } from '../../../src/fit/chassis/predictPower.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

function machine(parts: Partial<LoopMachine> = {}): LoopMachine {
  return {
    idleW: 10,
    peakW: 100,
    budgets: [],
    givesWay: 'latch',
    heat: null,
    timedSteps: [],
    responseS: 0,
    ...parts,
  }
}

/** From idle an average with the time constant tau reaches a limit after tau ln((peak - idle) / (peak - limit)). */
const untilS = (limitW: number, tauS: number, peakW = 100) => tauS * Math.log((peakW - 10) / (peakW - limitW))

describe('how long a machine holds its first levels', () => {
  it('is without end where nothing holds it', () => {
    expect(heldTimes(machine(), null)).toEqual({ burstS: null, shortTermS: null })
  })

  it('is until its budget is spent', () => {
    const { burstS, shortTermS } = heldTimes(machine({ budgets: [{ limitW: 60, tauS: 20 }] }), null)
    expect(burstS).toBeCloseTo(untilS(60, 20), 0)
    expect(shortTermS).toBeNull()
  })

  it('is until its timed step', () => {
    expect(heldTimes(machine({ timedSteps: [{ limitW: 60, afterS: 75 }] }), null).burstS).toBeCloseTo(75, 6)
  })

  it('is, of the level between, from the first drop to the second', () => {
    const two = machine({ budgets: [{ limitW: 80, tauS: 10 }], timedSteps: [{ limitW: 60, afterS: 90 }] })
    const { burstS, shortTermS } = heldTimes(two, 80)
    expect(burstS).toBeCloseTo(untilS(80, 10), 0)
    expect(shortTermS).toBeCloseTo(90 - untilS(80, 10), 0)
    // A level that is never reached, or never left, has no time.
    expect(heldTimes(two, 60).shortTermS).toBeNull()
    expect(heldTimes(machine({ budgets: [{ limitW: 80, tauS: 10 }] }), 80).shortTermS).toBeNull()
    const past = machine({ timedSteps: [{ limitW: 60, afterS: 75 }] })
    expect(heldTimes(past, 80)).toEqual({ burstS: expect.closeTo(75, 6), shortTermS: null })
  })

  it('ends with the drop from it, whatever drops later', () => {
    const steps = [80, 60, 40].map((limitW, k) => ({ limitW, afterS: 30 + 50 * k }))
    expect(heldTimes(machine({ timedSteps: steps }), 80)).toEqual({
      burstS: expect.closeTo(30, 6),
      shortTermS: expect.closeTo(50, 6),
    })
  })

  it('ends where a slow controller has brought power half way down', () => {
    const slow = machine({ timedSteps: [{ limitW: 60, afterS: 75 }], responseS: 4 })
    expect(heldTimes(slow, null).burstS).toBeCloseTo(75 + 4 * Math.LN2, 6)
  })
})

describe('power that a machine would show in a record', () => {
  /** Two passes of 20 s with a pause of 10 s, a sample each 4 s from 4 s before the load on. */
  const toS = Float64Array.from({ length: 16 }, (_, i) => 4 * i)
  const record: LoadRecord = {
    idleW: 10,
    idleSeen: true,
    passes: [
      { startS: 0, endS: 20 },
      { startS: 30, endS: 50 },
    ],
    fromS: toS.map((s) => s - 4),
    toS,
    powerW: new Float64Array(16),
    temperatureC: null,
    pass: new Int16Array(16),
    noiseW: 1,
    autocorrelation: 0,
    intervalS: 4,
  }

  it('is the mean over each interval, idle where no pass runs', () => {
    const watts = Array.from(predictPower(machine(), record))
    // 28 to 32 s hold 2 s of the second pass, 48 to 52 s as much.
    const wanted = [10, 100, 100, 100, 100, 100, 10, 10, 55, 100, 100, 100, 100, 55, 10, 10]
    expect(watts).toEqual(wanted.map((watt) => expect.closeTo(watt, 6)))
  })

  it('steps down inside of an interval', () => {
    const stepped = machine({ timedSteps: [{ limitW: 60, afterS: 9 }] })
    expect(predictPower(stepped, record)[3]).toBeCloseTo((100 + 3 * 60) / 4, 6)
  })

  it('is idle in an interval without length', () => {
    const odd = { ...record, fromS: record.fromS.slice().fill(12, 3, 4) }
    expect(predictPower(machine(), odd)[3]).toBe(10)
  })
})
