import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { fallsUnderHeat } from '../../src/segment/stages/fallsUnderHeat.js'
import { traceOf } from './makeSteps.js'

/** Long enough that noise, idle power and quantiles are told from part of the samples. */
const LONG = 150_000

describe('a log of hundreds of thousands of samples', () => {
  it('has its stages where they are, to a sample, and their levels', () => {
    const trace = longTrace((i) =>
      i < 8000 || i >= LONG - 3000 ? 4 : i < 20_100 ? 96 : i < 90_003 ? 70 : 55,
    )
    const loads = findLoads(trace)
    expect(loads).toHaveLength(1)
    const [load] = loads
    const edges = [7999, 20_099, 90_002]
    expect(load!.stages).toHaveLength(3)
    for (const [k, edgeS] of edges.entries())
      expect(Math.abs(load!.stages[k]!.startS - edgeS)).toBeLessThan(1)
    expect(Math.abs(load!.endS - (LONG - 3001))).toBeLessThan(1)
    const levels = load!.stages.map((stage) => stage.levelW.value)
    for (const [k, level] of [96, 70, 55].entries()) expect(Math.abs(levels[k]! - level)).toBeLessThan(0.05)
    expect(load!.noiseW).toBeCloseTo(0.8, 1)
  })

  it('has the runs of a loop whose pauses are eight samples in a thousand', () => {
    const trace = longTrace((i) => (i < 500 || i >= LONG - 500 || i % 1000 < 8 ? 5 : 60))
    const [load] = findLoads(trace)
    expect(load!.runs).toHaveLength(LONG / 1000)
    expect(load!.stages).toHaveLength(1)
    expect(load!.sustained.levelW.value).toBeCloseTo(60, 0)
  })
})

function longTrace(levelAt: (i: number) => number): Trace {
  const random = seededRandom(11)
  return {
    timesS: Float64Array.from({ length: LONG }, (_, i) => i),
    powerW: Float64Array.from({ length: LONG }, (_, i) => Math.max(0, levelAt(i) + 0.8 * random.normal())),
    temperatureC: null,
    clockHz: null,
    intervalS: 1,
    startEpochS: null,
    startOfDayS: null,
  }
}

it('runs of a loop may hold more samples than a call may have arguments', () => {
  // A quarter of a million each, as of a fast logger over hours.
  const n = 250_000
  const timesS = Float64Array.from({ length: 2 * n }, (_, i) => i / 4000)
  const powerW = timesS.map((_, i) => 100 + 30 * Math.exp(-(i % n) / 40_000))
  const runs = [0, 1].map((k) => ({ startS: (k * n) / 4000, endS: ((k + 1) * n) / 4000 }))
  const found = fallsUnderHeat(traceOf(timesS, powerW, new Float64Array(2 * n).fill(95)), runs)
  expect(found!.paceS).toBeCloseTo(10 * Math.log(5), 0)
})
