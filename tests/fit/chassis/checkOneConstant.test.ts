import { describe, expect, it } from 'vitest'
import { checkOneConstant } from '../../../src/fit/chassis/checkOneConstant.js'
import type { BudgetFit } from '../../../src/fit/chassis/fitBudgets.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

/** A machine that bursts at 100 W and holds 60 W on average. */
const machine: LoopMachine = {
  idleW: 10,
  peakW: 100,
  budgets: [],
  givesWay: 'latch',
  heat: null,
  timedSteps: [],
  responseS: 0,
}
const fitOf = (tauS: number) =>
  ({ machine: { ...machine, budgets: [{ limitW: 60, tauS }] } }) as unknown as BudgetFit

/** How long a burst from idle lasts with a time constant of 20 s. */
const BURST_S = 20 * Math.log(90 / 40)

interface Case {
  /** How long the burst of each run lasts, against that. */
  readonly bursts: readonly number[]
  readonly noiseW?: number
  readonly everyS?: number
}

/** Runs of 60 s with pauses of 300 s. */
function check({ bursts, noiseW = 0.2, everyS = 1 }: Case) {
  const passes = bursts.map((_, k) => ({ startS: 360 * k, endS: 360 * k + 60 }))
  const toS = Float64Array.from({ length: (360 * bursts.length) / everyS }, (_, i) => everyS * (i + 1))
  const runAt = (s: number) => (s % 360 < 60 ? Math.floor(s / 360) : -1)
  const record: LoadRecord = {
    idleW: 10,
    idleSeen: true,
    passes,
    fromS: toS.map((s) => s - everyS),
    toS,
    powerW: toS.map((s) => {
      const run = runAt(s - everyS)
      if (run < 0) return 10
      const left = bursts[run]! * BURST_S - ((s - everyS) % 360)
      return 60 + 40 * Math.min(1, Math.max(0, left / everyS))
    }),
    temperatureC: null,
    pass: Int16Array.from(toS, (s) => runAt(s - everyS)),
    noiseW,
    autocorrelation: 0,
    intervalS: everyS,
  }
  return checkOneConstant(record, fitOf(20))
}

describe('one time constant for the bursts of all runs', () => {
  it('is enough where all bursts last as long as it says', () => {
    expect(check({ bursts: [1, 1, 1, 1] })).toEqual([])
  })

  it('is not where one is longer or shorter: the warning names it, and by how much', () => {
    for (const [bursts, worstRun] of [
      [[1, 1, 1.5, 1], 3],
      [[1, 0.5, 1, 1], 2],
      [[0.7, 1.5, 1, 1], 2],
    ] as const) {
      const [warning] = check({ bursts })
      expect(warning).toMatchObject({ code: 'budget-varies', runs: 4, worstRun })
      expect(warning).toMatchObject({ burstDeviationPct: expect.closeTo(50, 0) })
    }
  })

  it('is enough where bursts differ by less than a tenth, or by no more than noise makes likely', () => {
    expect(check({ bursts: [1, 1, 1.09, 1], noiseW: 0.01 })).toEqual([])
    expect(check({ bursts: [1, 1, 1.2, 1], noiseW: 0.01 })).toHaveLength(1)
    expect(check({ bursts: [1, 1, 1.2, 1], noiseW: 5 })).toEqual([])
  })

  it('is judged alike by samples of any length', () => {
    expect(check({ bursts: [1, 1, 1.5, 1], everyS: 4 })).toMatchObject([
      { worstRun: 3, burstDeviationPct: expect.closeTo(50, 0) },
    ])
    expect(check({ bursts: [1, 1, 1, 1], everyS: 4 })).toEqual([])
  })

  it('cannot be doubted with one burst', () => {
    expect(check({ bursts: [1.5] })).toEqual([])
    expect(check({ bursts: [1.5, 1] })).toHaveLength(1)
  })
})
