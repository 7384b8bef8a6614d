import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'
import { makeSteps, traceOf } from './makeSteps.js'

function only(trace: Trace): Load {
  const loads = findLoads(trace)
  expect(loads).toHaveLength(1)
  return loads[0]!
}

const IDLE = [6, 40] as const
/** Runs at a power with pauses of 6 s, a sample a second. */
const loop = (runs: readonly (readonly (readonly [watts: number, forS: number])[])[], noiseW = 0.5) =>
  makeSteps({
    levels: [IDLE, ...runs.flatMap((run, k) => (k === 0 ? run : [[6, 6] as const, ...run])), IDLE],
    noiseW,
  })

describe('the noise of a load', () => {
  it('is that of its samples about their levels, and as correlated', () => {
    for (const [noiseW, autocorrelation] of [
      [0.5, 0],
      [2, 0],
      [1, 0.6],
    ] as const) {
      const load = only(
        makeSteps({ levels: [IDLE, [90, 60], [60, 340], IDLE], noiseW, autocorrelation, seed: 3 }),
      )
      expect(Math.abs(load.noiseW / noiseW - 1)).toBeLessThan(0.15)
      expect(Math.abs(load.autocorrelation - autocorrelation)).toBeLessThan(0.2)
    }
  })

  it('is no less than the last digit of the figures lets it be, nor than one part in 5000 of the power', () => {
    const steps = makeSteps({ levels: [IDLE, [90, 60], [60, 200], IDLE], noiseW: 0.05 })
    const whole = only({ ...steps, powerW: steps.powerW.map(Math.round) })
    expect(whole.noiseW).toBeGreaterThanOrEqual(1 / Math.sqrt(12))
    const still = only(makeSteps({ levels: [IDLE, [60, 300], IDLE], noiseW: 0.001 }))
    expect(still.noiseW).toBeCloseTo(60 / 5000, 4)
    expect(
      findLoads(
        traceOf(
          new Float64Array(50).map((_, i) => i),
          new Float64Array(50),
        ),
      ),
    ).toHaveLength(0)
  })

  it('is told by some of many runs, and by stretches of a long one', () => {
    const many = loop(
      Array.from({ length: 24 }, () => [[60, 30]] as const),
      1.5,
    )
    expect(Math.abs(only(many).noiseW / 1.5 - 1)).toBeLessThan(0.15)
    const long = makeSteps({ levels: [IDLE, [60, 20_500], IDLE], noiseW: 1.5 })
    expect(Math.abs(only(long).noiseW / 1.5 - 1)).toBeLessThan(0.1)
  })
})

describe('what else comes with a load', () => {
  it('are the times of samples that were set aside, and whether samples are means', () => {
    const steps = makeSteps({ levels: [[6, 40.4], [60, 300], IDLE] })
    const powerW = steps.powerW.slice()
    for (const i of [100, 200]) powerW[i] = 95
    const load = only({ ...steps, powerW })
    expect(load.spikesAtS).toEqual([100, 200])
    expect(load.showsInstants).toBe(false)
    expect(load.unresolved).toBeUndefined()
    expect(only(steps).spikesAtS).toEqual([])
  })

  it('are its bounds, which its stages and runs fill', () => {
    const load = only(
      loop([
        [
          [90, 10],
          [60, 50],
        ],
        [[60, 60]],
        [[60, 60]],
        [[60, 60]],
      ]),
    )
    expect(load.runs).toHaveLength(4)
    expect(load.startS).toBe(load.runs[0]!.startS)
    expect(load.endS).toBe(load.runs[3]!.endS)
    expect(load.stages[0]!.startS).toBe(load.startS)
    expect(load.stages.at(-1)!.endS).toBe(load.endS)
  })
})

describe('the sustained power of a loop', () => {
  it('is the level of its runs, with what uninterrupted work would settle at below it', () => {
    const load = only(
      loop([
        [
          [90, 10],
          [60, 50],
        ],
        ...Array.from({ length: 7 }, () => [[60, 60]] as const),
      ]),
    )
    const { value, low, high } = load.sustained.levelW
    expect(value).toBeCloseTo(60, 0)
    expect(low).toBeLessThan(60)
    expect(high).toBeGreaterThan(59.5)
  })
})
