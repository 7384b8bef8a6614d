import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'
import { makeSteps, traceOf } from './makeSteps.js'
import { type Scene, simulateTrace } from './simulateTrace.js'

const IDLE = [6, 40.5] as const

function only(loads: readonly Load[]): Load {
  expect(loads).toHaveLength(1)
  return loads[0]!
}

describe('loads', () => {
  it('a log that idles, works and idles has one load with its edges inside a sample', () => {
    const load = only(
      findLoads(
        makeSteps({
          levels: [
            [6, 40.4],
            [80, 600],
            [6, 60],
          ],
        }),
      ),
    )
    // The first sample ends the log's first second: it is second 0 of the log.
    expect(load.startS).toBeCloseTo(39.4, 1)
    expect(load.endS).toBeCloseTo(639.4, 1)
  })

  it('a loop logged every 5 s, with pauses of one sample, idles before its load all the same', () => {
    const run = [25, 24, 22.5, 21.5, 21, 20.5, 20.3, 20.1, 20, 19.9]
    const idle = [1.4, 1.9, 1.6, 2.1, 1.8]
    const loop = Array.from({ length: 18 }, (_, k) => [...run, idle[k % idle.length]!]).flat()
    const random = seededRandom(5)
    const powerW = [...idle, ...loop.slice(0, -1), ...idle].map((value) => value + 0.3 * random.normal())
    const timesS = Float64Array.from(powerW, (_, i) => 5 * i)
    const load = only(findLoads(traceOf(timesS, Float64Array.from(powerW))))
    // A pause that one sample shows between two of one level may pass for a spike.
    expect(load.runs.length).toBeGreaterThanOrEqual(15)
    expect(load.startS).toBeGreaterThan(15)
    expect(load.sustained.levelW.value).toBeGreaterThan(19)
  })

  it('a log that is all work is one load from its first to its last sample', () => {
    const load = only(
      findLoads(
        makeSteps({
          levels: [
            [110, 30],
            [75, 900],
          ],
        }),
      ),
    )
    expect([load.startS, load.endS]).toEqual([0, 929])
    expect(load.stages).toHaveLength(2)
  })

  it('a log that begins in its load and ends idle keeps the whole load', () => {
    const load = only(
      findLoads(
        makeSteps({
          levels: [
            [110, 30],
            [75, 900],
            [6, 60],
          ],
        }),
      ),
    )
    expect(load.startS).toBe(0)
    expect(load.endS).toBeCloseTo(929, 0)
  })

  it('a log that ends in its load keeps the load to the last sample', () => {
    const load = only(findLoads(makeSteps({ levels: [IDLE, [75, 900]] })))
    expect(load.endS).toBe(939)
  })

  it('two rounds of one length and power are one load with two runs, two of different lengths are two loads', () => {
    const beside = (laterS: number, pauseS: number) =>
      findLoads(makeSteps({ levels: [IDLE, [80, 90], [6, pauseS], [80, laterS], [6, 40]] }))
    expect(only(beside(90, 28)).runs).toHaveLength(2)
    expect(only(beside(90, 40)).runs).toHaveLength(2)
    expect(beside(200, 28)).toHaveLength(2)
    expect(beside(200, 6)).toHaveLength(2)
  })

  it('a background blip before the load is no load and no run', () => {
    const load = only(findLoads(makeSteps({ levels: [IDLE, [18, 6], [6, 12], [90, 600], [6, 60]] })))
    expect(load.runs).toHaveLength(1)
    expect(load.startS).toBeCloseTo(57.5, 0)
  })

  it("noisy idling doesn't hide a load of ten seconds", () => {
    const load = only(
      findLoads(
        makeSteps({
          levels: [
            [6, 300],
            [60, 10],
            [6, 300],
          ],
          noiseW: 1.5,
        }),
      ),
    )
    expect(load.endS - load.startS).toBeCloseTo(10, 0)
  })

  it('a trace that never rises above idle by much is one steady load or none, never an error', () => {
    expect(findLoads(makeSteps({ levels: [[6, 300]] })).length).toBeLessThanOrEqual(1)
    expect(
      findLoads(traceOf(Float64Array.from([0, 1]), Float64Array.from([5, 5]))).length,
    ).toBeLessThanOrEqual(1)
  })
})

describe('stages', () => {
  it('a burst of three samples is found at the start of a load', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const load = only(
        findLoads(makeSteps({ levels: [IDLE, [110, 3], [70, 400], [6, 40]], noiseW: 1, seed })),
      )
      expect(load.stages.map(({ label }) => label)).toEqual(['burst', 'sustained'])
      expect(Math.abs(load.stages[1]!.startS - 42.5)).toBeLessThan(1)
    }
  })

  it('a stage that ends with the log is found', () => {
    const load = only(findLoads(makeSteps({ levels: [IDLE, [110, 20], [90, 100], [70, 8]] })))
    expect(load.stages).toHaveLength(3)
    expect(load.sustained.reached).toBe(false)
  })

  it('a step inside a sample is timed to a fraction of it, inside its interval', () => {
    for (const part of [0.1, 0.35, 0.5, 0.8]) {
      const levels = [IDLE, [110, 30 + part], [70, 500], [6, 40]] as const
      const { startInterval } = only(findLoads(makeSteps({ levels, noiseW: 0.2 }))).stages[1]!
      const truth = 69.5 + part
      expect(Math.abs(startInterval!.value - truth)).toBeLessThan(0.3)
      expect(startInterval!.low).toBeLessThanOrEqual(truth + 0.05)
      expect(startInterval!.high).toBeGreaterThanOrEqual(truth - 0.05)
    }
  })

  it('spikes either way are counted and make no stage, no pause and no load', () => {
    const trace = makeSteps({ levels: [IDLE, [110, 30], [70, 800], [6, 40]] })
    const powerW = trace.powerW.slice()
    for (const at of [200, 350, 351 + 40, 600]) powerW[at] = at % 2 === 0 ? 140 : 20
    powerW[500] = 7
    const load = only(findLoads({ ...trace, powerW }))
    expect(load.stages).toHaveLength(2)
    expect(load.runs).toHaveLength(1)
    expect(load.spikesAtS).toEqual([200, 350, 391, 500, 600])
  })

  it('a soft drop with a time constant of 2 s is one stage, timed where it begins', () => {
    const sim = simulateTrace({ ...chassis(110, [{ limitW: 70, tauS: 40, approachS: 2 }]), holdS: 900 }, 3)
    const load = only(findLoads(sim.trace))
    expect(load.stages.map(({ shape }) => shape)).toEqual(['level', 'level'])
    expect(Math.abs(load.stages[1]!.startS - sim.dropsS[0]!)).toBeLessThan(1)
  })

  it('uneven, lost and coarse samples leave the stages as they are', () => {
    const logger = { everyS: 2, jitter: 0.4, lost: 0.05, quantumW: 0.5, noiseW: 1, spikes: 0.003 }
    const sim = simulateTrace({ ...chassis(100, TWO_STEPS), holdS: 1500, logger }, 5)
    const load = only(findLoads(sim.trace))
    expect(load.stages).toHaveLength(3)
    expect(load.sustained.levelW.value).toBeCloseTo(62, 0)
  })

  it('a demand that rises while the chassis warms is one level that drifts', () => {
    const load = only(
      findLoads(simulateTrace({ ...chassis(100, []), leakPerK: 0.001, holdS: 1500 }, 4).trace),
    )
    expect(load.stages.map(({ shape, label }) => [shape, label])).toEqual([['level', 'sustained']])
    expect(load.stages[0]!.heldBy.label).toBe('demand')
  })
})

describe('the settled level', () => {
  it('a flat trace from start to end of a long load is reached, and nothing shows what holds it', () => {
    const load = only(findLoads(makeSteps({ levels: [IDLE, [80, 1500], [6, 40]] })))
    expect(load.sustained).toMatchObject({ reached: true })
    expect(load.sustained.levelW.value).toBeCloseTo(80, 1)
    expect(load.stages[0]!.heldBy.label).toBe('undetermined')
  })

  it('a log that ends before a second drop could have come is not settled, and its interval reaches down', () => {
    const load = only(findLoads(makeSteps({ levels: [IDLE, [110, 8], [83, 75], [6, 40]] })))
    expect(load.sustained.reached).toBe(false)
    expect(load.sustained.fromS).toBeNull()
    expect(load.sustained.levelW.low).toBeLessThan(61)
    expect(load.sustained.levelW.high).toBeGreaterThan(80)
    expect(load.stages.map(({ label }) => label)).toEqual(['burst', 'short-term'])
  })

  it('a fall that has not come to rest is not settled', () => {
    const load = only(findLoads(simulateTrace({ ...hot(), holdS: 140 }, 2).trace))
    expect(load.sustained.reached).toBe(false)
    const { low, high } = load.sustained.levelW
    expect(low).toBeLessThan(60)
    expect(high).toBeGreaterThan(60)
  })

  it('a budget chassis settles when its controller is done, about three time constants after the drop', () => {
    const sim = simulateTrace({ ...chassis(110, [{ limitW: 70, tauS: 40, approachS: 1 }]), holdS: 900 }, 3)
    const load = only(findLoads(sim.trace))
    const truth = sim.dropsS[0]! - sim.startS + Math.log(40 / 1.4)
    expect(load.sustained.settleAfterS!.low).toBeLessThan(truth)
    expect(load.sustained.settleAfterS!.high).toBeGreaterThan(truth)
  })
})

describe('what held the power', () => {
  it('an abrupt drop with falling temperature is a set limit', () => {
    const load = only(findLoads(simulateTrace({ ...chassis(110, TWO_STEPS), holdS: 1200 }, 1).trace))
    expect(load.stages.at(-1)!.heldBy.label).toBe('power-limit')
    expect(load.stages.at(-1)!.heldBy.evidence.join()).toMatch(/drops by \d+ %.*falls to \d+ °C/)
  })

  it('power that gives way at a steady temperature is heat', () => {
    const load = only(findLoads(simulateTrace({ ...hot(), holdS: 1500 }, 2).trace))
    expect(load.stages.at(-1)!.heldBy.label).toBe('heat')
    expect(Math.abs(load.sustained.levelW.value / HOT_SUSTAINED_W - 1)).toBeLessThan(0.01)
  })

  it('the same without a temperature column is undetermined, and says what is missing', () => {
    const { trace } = simulateTrace({ ...hot(), holdS: 1500, logger: { temperature: false } }, 2)
    const { heldBy } = only(findLoads(trace)).stages.at(-1)!
    expect(heldBy.label).toBe('undetermined')
    expect(heldBy.evidence.join()).toMatch(/no temperature column/)
  })
})

describe('looped runs', () => {
  it('pauses and re-bursts of a loop make no stages: burst, short-term and sustained come once', () => {
    const sim = simulateTrace({ ...chassis(115, TWO_STEPS), holdS: 1000, runS: 52, gapS: 6 }, 8)
    const load = only(findLoads(sim.trace))
    expect(load.runs).toHaveLength(sim.runsS.length)
    expect(load.stages.map(({ label }) => label)).toEqual(['burst', 'short-term', 'sustained'])
    expect(Math.abs(load.sustained.levelW.value / 62 - 1)).toBeLessThan(0.01)
  })

  it('runs are timed to a tenth of a second when samples are means', () => {
    const sim = simulateTrace({ ...chassis(115, TWO_STEPS), holdS: 700, runS: 41.3, gapS: 4.2 }, 9)
    const { runs } = only(findLoads(sim.trace))
    runs.forEach((run, i) => {
      expect(Math.abs(run.startS - sim.runsS[i]!.startS)).toBeLessThan(0.15)
      expect(Math.abs(run.endS - sim.runsS[i]!.endS)).toBeLessThan(0.15)
    })
  })

  it('a loop that heat holds is one relaxation', () => {
    const sim = simulateTrace({ ...hot(), holdS: 1400, runS: 60, gapS: 5 }, 4)
    const load = only(findLoads(sim.trace))
    expect(load.stages.filter(({ shape }) => shape === 'decay')).toHaveLength(1)
    expect(load.stages.at(-1)!.heldBy.label).toBe('heat')
  })

  it('energy and mean power of a run are those of its samples', () => {
    const trace = makeSteps({ levels: [IDLE, [100, 59], [6, 10], [100, 60], [6, 40]], noiseW: 0 })
    const { runs } = only(findLoads(trace))
    expect(runs[0]!.meanW).toBeCloseTo(100, 3)
    expect(runs[0]!.energyWh).toBeCloseTo((100 * 59) / 3600, 2)
    expect(runs[1]!.energyWh).toBeCloseTo((100 * 60) / 3600, 2)
  })
})

describe('facts of the trade (common practice, no source)', () => {
  it('a thin chassis peaks at 115 W for seconds, holds 80 W, and after several runs of a looped render 65 W for good', () => {
    const budgets = [
      { limitW: 80, tauS: 8, approachS: 1 },
      { limitW: 65, tauS: 150, approachS: 1 },
    ]
    const sim = simulateTrace({ ...chassis(115, budgets), holdS: 1500, runS: 60, gapS: 5 }, 11)
    const load = only(findLoads(sim.trace))
    expect(load.stages.map(({ label }) => label)).toEqual(['burst', 'short-term', 'sustained'])
    const levels = load.stages.map(({ levelW }) => levelW.value)
    expect(levels[0]).toBeCloseTo(115, 0)
    expect(levels[1]).toBeCloseTo(80, 0)
    expect(levels[2]).toBeCloseTo(65, 0)
    const runsBefore = load.runs.filter(({ endS }) => endS <= load.sustained.fromS!).length
    expect(runsBefore).toBeGreaterThanOrEqual(3)
  })

  it('a bigger one peaks at 113 W and holds 93 W without end', () => {
    const sim = simulateTrace({ ...chassis(113, [{ limitW: 93, tauS: 30, approachS: 1 }]), holdS: 1500 }, 12)
    const load = only(findLoads(sim.trace))
    const levels = load.stages.map(({ levelW }) => Math.round(levelW.value))
    expect(levels).toEqual([113, 93])
    expect(load.sustained.reached).toBe(true)
  })

  it('a third peaks at 80 W and holds 70 W', () => {
    const sim = simulateTrace(
      { ...chassis(80, [{ limitW: 70, tauS: 25, approachS: 1 }]), holdS: 1500, runS: 90, gapS: 4 },
      13,
    )
    const load = only(findLoads(sim.trace))
    const levels = load.stages.map(({ levelW }) => Math.round(levelW.value))
    expect(levels).toEqual([80, 70])
  })
})

describe('false alarms', () => {
  it('level loads in white and correlated noise show a second stage in fewer than 1 % of traces', () => {
    const random = seededRandom(99)
    let wrong = 0
    const traces = 240
    for (let k = 0; k < traces; k++) {
      const autocorrelation = [0, 0.3, 0.6][k % 3]!
      const noiseW = 0.3 + 2.7 * random.uniform()
      const forS = 200 + 600 * random.uniform()
      const trace = makeSteps({
        levels: [
          [6, 20],
          [70, forS],
          [6, 20],
        ],
        noiseW,
        autocorrelation,
        seed: 1000 + k,
      })
      if (findLoads(trace)[0]!.stages.length !== 1) wrong++
    }
    expect(wrong).toBeLessThan(0.01 * traces)
  })
})

const TWO_STEPS = [
  { limitW: 80, tauS: 12, approachS: 1 },
  { limitW: 62, tauS: 120, approachS: 1 },
]

function chassis(peakW: number, budgets: NonNullable<Scene['budgets']>): Scene {
  return { demandW: peakW, budgets, leadS: 30, tailS: 40, holdS: 600, logger: { noiseW: 0.6 } }
}

/** 24 degC plus 1.2 K/W to a ceiling of 96 degC: 60 W for ever. */
const HOT_SUSTAINED_W = 60

function hot(): Scene {
  const thermal = [
    { rKPerW: 0.4, tauS: 1.5 },
    { rKPerW: 0.4, tauS: 30 },
    { rKPerW: 0.4, tauS: 90 },
  ]
  const heat = { ceilingC: 96, gainWPerK: 3, resetS: 15 }
  return {
    demandW: 95,
    heat,
    thermal,
    ambientC: 24,
    leadS: 30,
    tailS: 40,
    holdS: 900,
    logger: { noiseW: 0.6 },
  }
}
