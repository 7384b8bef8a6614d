import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import type { Estimate } from '../../src/numeric/statistics/estimate.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'

// Traces in closed form: idle at 8 W; 120 W for 20 s; a fall to 80 W within a minute; then cooling gets better and power goes
// from there to 100 W with a time constant of 60 s. Truth is the formula's own.

const TOWARD_W = 100
const TAU_S = 60
const RISES_AT_S = 80
const IDLE_S = 30

function powerAt(sinceS: number): number {
  if (sinceS < 20) return 120
  const fall = 40 * Math.exp(-(sinceS - 20) / 15)
  const rise = sinceS < RISES_AT_S ? 0 : (TOWARD_W - 80) * (1 - Math.exp((RISES_AT_S - sinceS) / TAU_S))
  return 80 + fall + rise
}

function risingTrace(holdS: number, seed: number): Trace {
  const random = seededRandom(seed)
  const count = IDLE_S + holdS + 20
  const powers = Float64Array.from({ length: count }, (_, i) => {
    const sinceS = i - IDLE_S
    const truthW = sinceS <= 0 || sinceS > holdS ? 8 : powerAt(sinceS - 0.5)
    return truthW + 0.4 * random.normal()
  })
  return {
    timesS: Float64Array.from(powers, (_, i) => i),
    powerW: powers,
    temperatureC: null,
    clockHz: null,
    intervalS: 1,
    startEpochS: null,
    startOfDayS: null,
  }
}

function only(loads: readonly Load[]): Load {
  expect(loads).toHaveLength(1)
  return loads[0]!
}

function holds({ low, high }: Estimate, truth: number): boolean {
  return low <= truth && truth <= high
}

describe('power that rises', () => {
  it('is a stage of its own, whose asymptote and time constant lie inside their intervals', () => {
    const found = Array.from({ length: 20 }, (_, seed) => {
      const load = only(findLoads(risingTrace(RISES_AT_S + 200, seed)))
      const rise = load.stages.find(({ shape }) => shape === 'rise')!
      expect(load.stages.map(({ shape }) => shape).slice(0, 3)).toEqual(['level', 'decay', 'rise'])
      const { fromW, towardW, tauS } = rise.decay!
      expect(fromW).toBeLessThan(85)
      return {
        toward: holds(towardW, TOWARD_W),
        tau: holds(tauS, TAU_S),
        start: holds(rise.startInterval!, IDLE_S + RISES_AT_S),
      }
    })
    // 90 % intervals: 14 or fewer of 20 would come up in 1 of 100 tests.
    expect(found.filter(({ toward }) => toward).length).toBeGreaterThanOrEqual(15)
    expect(found.filter(({ tau }) => tau).length).toBeGreaterThanOrEqual(15)
    expect(found.filter(({ start }) => start).length).toBeGreaterThanOrEqual(15)
  })

  it('has not settled while it moves, and is told to end between where it is and what the load has shown', () => {
    const load = only(findLoads(risingTrace(RISES_AT_S + 70, 3)))
    expect(load.stages.at(-1)!.shape).toBe('rise')
    expect(load.sustained).toMatchObject({ reached: false, fromS: null, settleAfterS: null })
    const { value, low, high } = load.sustained.levelW
    expect(low).toBeGreaterThan(powerAt(RISES_AT_S + 70) - 2)
    expect(value).toBeGreaterThan(low)
    expect(high).toBeLessThanOrEqual(121)
    expect(holds(load.sustained.levelW, TOWARD_W)).toBe(true)
  })

  it('has settled once its last minutes are steady, at the level of these minutes', () => {
    const load = only(findLoads(risingTrace(RISES_AT_S + 500, 4)))
    expect(load.stages.map(({ shape }) => shape)).toEqual(['level', 'decay', 'rise', 'level'])
    expect(load.sustained.reached).toBe(true)
    expect(Math.abs(load.sustained.levelW.value / TOWARD_W - 1)).toBeLessThan(0.005)
  })

  it('is told with a mean that is the mean of its samples', () => {
    const trace = risingTrace(RISES_AT_S + 150, 5)
    for (const stage of only(findLoads(trace)).stages.filter(({ shape }) => shape !== 'level')) {
      const inside = trace.powerW.filter((_, i) => i > stage.startS && i <= stage.endS)
      const mean = inside.reduce((sum, watts) => sum + watts, 0) / inside.length
      expect(Math.abs(stage.levelW.value / mean - 1)).toBeLessThan(0.01)
    }
  })
})

describe('a task that asks for more and more until it ends', () => {
  const ramp = (before: readonly number[]) => {
    const random = seededRandom(7)
    const powers = [
      ...before,
      ...Array(30).fill(60),
      ...Array.from({ length: 80 }, (_, s) => 100 + 6.25 * s),
      ...Array(30).fill(60),
    ]
    const powerW = Float64Array.from(powers, (watts) => watts + 2 * random.normal())
    const timesS = powerW.map((_, i) => i)
    const trace = { temperatureC: null, clockHz: null, intervalS: 1, startEpochS: null, startOfDayS: null }
    return findLoads({ ...trace, timesS, powerW }).at(-1)!.sustained
  }

  it('is not said to come to more than as much again as it came up by', () => {
    const { reached, levelW } = ramp([])
    expect(reached).toBe(false)
    expect(levelW.value).toBeGreaterThan(594)
    expect(levelW.high).toBeLessThan(600 + 550)
  })

  it('nor to more than a twentieth above what the log shows to be held', () => {
    const { levelW } = ramp([...Array(30).fill(60), ...Array(60).fill(640)])
    expect(levelW.value).toBeGreaterThan(594)
    expect(levelW.high).toBeLessThan(1.06 * 640)
  })
})
