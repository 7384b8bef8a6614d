import { describe, expect, it } from 'vitest'
import { readLog } from '../../../src/files/readLog.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { fallsUnderHeat } from '../../../src/segment/stages/fallsUnderHeat.js'
import { traceOf } from '../makeSteps.js'

/** What held the last stage of the longest load of a sample; samples/README.md says what is true of each. */
async function heldBy(sample: string): Promise<{ label: string; evidence: readonly string[] }> {
  const { trace } = await readLog(new URL(`../../../samples/${sample}`, import.meta.url).pathname)
  const loads = [...findLoads(trace)].sort((a, b) => b.endS - b.startS - (a.endS - a.startS))
  return loads[0]!.stages.at(-1)!.heldBy
}

describe('what holds a loop with pauses', () => {
  it.each(['ibis-loop.tsv', 'ibis-compile.tsv'])(
    'is heat where every run gives way slowly at a ceiling: %s',
    async (sample) => {
      const { label, evidence } = await heldBy(sample)
      expect(label).toBe('heat')
      expect(evidence.join(' ')).toMatch(/95 °C/)
    },
  )

  it.each(['heron-compile.csv', 'bittern-compile.csv'])(
    'is a set limit where runs open with a burst that a controller ends: %s',
    async (sample) => {
      expect((await heldBy(sample)).label).toBe('power-limit')
    },
  )
})

describe('how runs fall', () => {
  const RUN_S = 60
  const PERIOD_S = 80

  interface Runs {
    readonly count?: number
    /** Fall of the power within a run, W, from 130 W; its time constant, s, and how long the burst is held first. */
    readonly fallW?: number
    readonly tauS?: number
    readonly holdS?: number
    /** Temperature at a time since the run's start, °C. */
    readonly celsius?: (sinceS: number) => number
    readonly coldC?: number
    readonly everyS?: number
    /** What a single sample is off by, W, by the time since the run's start. */
    readonly offW?: Readonly<Record<number, number>>
  }

  /** Half a minute of idle, then runs of a minute with pauses of 20 s. */
  function falls({
    count = 3,
    fallW = 30,
    tauS = 10,
    holdS = 0,
    celsius = () => 95,
    coldC = 30,
    everyS = 1,
    offW = {},
  }: Runs) {
    const runs = Array.from({ length: count }, (_, k) => ({
      startS: 30 + k * PERIOD_S,
      endS: 30 + k * PERIOD_S + RUN_S,
    }))
    const timesS = Float64Array.from(
      { length: Math.floor((30 + count * PERIOD_S) / everyS) },
      (_, i) => i * everyS,
    )
    const inRun = (s: number) => runs.find(({ startS, endS }) => s > startS && s <= endS)
    const powerW = timesS.map((s) => {
      const run = inRun(s)
      if (!run) return 10
      const sinceS = s - run.startS
      return 130 - fallW * (1 - Math.exp(-Math.max(0, sinceS - holdS) / tauS)) + (offW[sinceS] ?? 0)
    })
    const temperatureC = timesS.map((s) => {
      const run = inRun(s)
      return run ? celsius(s - run.startS) : coldC
    })
    return fallsUnderHeat(traceOf(timesS, powerW, temperatureC), runs)
  }

  it('is told by medians: pace, fall, temperature', () => {
    // From half to nine tenths of an exponential's fall: tau ln 5 = 16.1 s, to the second; its half after tau ln 2 = 6.9 s.
    const usual = falls({})!
    expect(Math.abs(usual.paceS - 10 * Math.log(5))).toBeLessThanOrEqual(1)
    expect(Math.abs(usual.halfS - 10 * Math.log(2))).toBeLessThanOrEqual(1.5)
    // The first samples are left out: 2 s after the start 18 % of the fall are over.
    expect(usual.fallShare).toBeCloseTo((100 + 30 * Math.exp(-0.2)) / (100 + 30 * Math.exp(-4.9)) - 1, 2)
    expect(usual).toMatchObject({ temperatureC: 95, spreadK: 0, coolingK: 0 })
  })

  it('is heat’s when slower than any controller (8 s from half to nine tenths), whatever it cools by', () => {
    const cools = (sinceS: number) => (sinceS < 20 ? 95 : 75)
    // 6 ln 5 = 9.7 s, 4 ln 5 = 6.4 s.
    expect(falls({ tauS: 6, celsius: cools })?.coolingK).toBe(20)
    expect(falls({ tauS: 4, celsius: cools })).toBeUndefined()
  })

  it('is heat’s when quicker, if it begins at once and the chip hardly cools', () => {
    expect(falls({ tauS: 4 })).toBeDefined()
    // A burst that is held for 10 s first.
    expect(falls({ tauS: 4, holdS: 10 })).toBeUndefined()
    // As quick as a controller: 1.1 ln 5 = 1.8 s, 1.8 ln 5 = 2.9 s.
    expect(falls({ tauS: 1.1, fallW: 100 })).toBeUndefined()
    expect(falls({ tauS: 1.8, fallW: 60 })).toBeDefined()
    // A fifth of what the fall of about a quarter would cool 65 K above the coldest by: some 3 K.
    const cools = (byK: number) => (sinceS: number) => (sinceS < 20 ? 95 : 95 - byK)
    expect(falls({ tauS: 4, celsius: cools(2) })).toBeDefined()
    expect(falls({ tauS: 4, celsius: cools(4) })).toBeUndefined()
    expect(falls({ tauS: 4, celsius: cools(2), coldC: 70 })).toBeUndefined()
  })

  it('is told from a sample that stands out', () => {
    const { paceS, halfS } = falls({})!
    expect(falls({ offW: { 30: 20, 34: 20 } })).toMatchObject({ paceS, halfS })
    expect(falls({ offW: { 5: -25, 12: -25 } })).toMatchObject({ paceS, halfS })
  })

  it('is no controller’s only where samples are close enough to tell: within four of them', () => {
    const cools = (sinceS: number) => (sinceS < 20 ? 95 : 75)
    expect(falls({ tauS: 6, fallW: 60, celsius: cools, everyS: 3 })).toBeUndefined()
    expect(falls({ tauS: 12, fallW: 60, celsius: cools, everyS: 3 })).toBeDefined()
  })

  it('is none that goes on beyond two thirds of the run', () => {
    expect(falls({ tauS: 40, fallW: 60 })).toBeUndefined()
    expect(falls({ tauS: 15, fallW: 60 })).toBeDefined()
  })

  it('cools from the warmest of its first half to the usual of its last third', () => {
    expect(falls({ celsius: (s) => (s < 40 ? 91 : 94) })?.coolingK).toBe(-3)
    expect(falls({ celsius: (s) => (s < 38 ? 95 : 93) })?.coolingK).toBe(2)
    expect(falls({ celsius: (s) => (s === 10 ? 97 : 95) })?.coolingK).toBe(2)
  })

  it('needs temperatures in both, and five while the runs are warm', () => {
    const missing = (isMissing: (sinceS: number) => boolean, count = 3) =>
      falls({ count, celsius: (s) => (isMissing(s) ? Number.NaN : 95) })
    expect(missing((s) => s % 2 === 0)).toMatchObject({ temperatureC: 95, coolingK: 0 })
    expect(missing((s) => s <= 31)).toBeUndefined()
    expect(missing((s) => s > 38)).toBeUndefined()
    const few = (s: number) => s >= 30 && s !== 57 && s !== 58
    expect(missing(few)).toBeDefined()
    expect(missing(few, 2)).toBeUndefined()
  })

  it('is none where temperature spreads by more than 4 K over the later half', () => {
    const spread = (byK: number) => falls({ celsius: (s) => (s <= 45 ? 95 : 95 - byK) })
    expect(spread(4)?.spreadK).toBe(4)
    expect(spread(4.1)).toBeUndefined()
  })

  it('needs two runs and half of all that fall by 8 %', () => {
    expect(falls({ count: 1 })).toBeUndefined()
    expect(falls({ count: 2 })).toBeDefined()
    // Of what it comes to, without the first 1.5 s.
    expect(falls({ fallW: 14, tauS: 20 })).toBeDefined()
    expect(falls({ fallW: 9, tauS: 20 })).toBeUndefined()
  })

  it('needs a temperature', () => {
    expect(fallsUnderHeat(traceOf(Float64Array.of(0, 1), Float64Array.of(1, 2)), [])).toBeUndefined()
    expect(falls({ celsius: () => Number.NaN })).toBeUndefined()
  })

  it('needs nine samples of a run', () => {
    expect(falls({ everyS: 5, tauS: 12 })).toBeDefined()
    expect(falls({ everyS: 6, tauS: 12 })).toBeUndefined()
  })
})
