import { describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import type { Trace } from '../../src/log/trace.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { type LoopHold, roundMean, withoutPauses } from '../../src/segment/settled/withoutPauses.js'
import { makeWorld } from '../worlds/makeWorld.js'

const PAUSES_S = [3, 5, 8, 15, 25]

const alreadyLooped = new Map<string, ReturnType<typeof looped>>()

/** What several tests ask of the same worlds, worked out once. */
function loopedOnce(kind: 'heat' | 'one-step' | 'flat', worlds: number) {
  const key = `${kind} ${worlds}`
  const found = alreadyLooped.get(key) ?? looped(kind, worlds)
  alreadyLooped.set(key, found)
  return found
}

/** Settled power and what holds it, of generated loops with pauses, beside what the same machine settles at without pauses. */
function looped(
  kind: 'heat' | 'one-step' | 'flat',
  worlds: number,
  seen: (trace: Trace) => Trace = (trace) => trace,
) {
  return Array.from({ length: worlds }, (_, i) => {
    const world = makeWorld(810_000 + 10 * i, { kind, gapS: PAUSES_S[i % PAUSES_S.length]! })
    const loads = [...findLoads(seen(parseLog(world.logs[0]!.bytes).trace))]
    const load = loads.sort((a, b) => b.endS - b.startS - (a.endS - a.startS))[0]!
    const { levelW, reached } = load.sustained
    const trueW = world.truth.sustainedW
    return {
      isCertain: reached && world.truth.reached,
      holds: levelW.low <= trueW && trueW <= levelW.high,
      off: Math.abs(levelW.value / trueW - 1),
      width: (levelW.high - levelW.low) / levelW.value,
      label: load.stages.at(-1)!.heldBy.label,
      hasTemperature: world.table.temperatureC.length > 0,
    }
  }).filter(({ isCertain }) => isCertain)
}

const share = (found: readonly unknown[], all: readonly unknown[]) => found.length / all.length
const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

describe('where a loop with pauses would settle without them', () => {
  it.each([
    ['heat', 0.012],
    ['one-step', 0.003],
    ['flat', 0.005],
  ] as const)('is held by its interval, and within %s of the truth in the median', (kind, most) => {
    const found = loopedOnce(kind, 20)
    expect(found.length).toBeGreaterThanOrEqual(15)
    expect(
      share(
        found.filter(({ holds }) => holds),
        found,
      ),
    ).toBeGreaterThanOrEqual(0.75)
    expect(median(found.map(({ off }) => off))).toBeLessThan(most)
  })

  it('is told to be held by heat where heat holds it, as often as not, and never where a limit does', () => {
    const warm = loopedOnce('heat', 20).filter(({ hasTemperature }) => hasTemperature)
    const limited = loopedOnce('one-step', 20)
    expect(
      share(
        warm.filter(({ label }) => label === 'heat'),
        warm,
      ),
    ).toBeGreaterThan(0.5)
    expect(limited.filter(({ label }) => label === 'heat')).toEqual([])
  })

  it('lies between the mean over the rounds and what the runs come to under heat, and at the runs themselves under a limit', () => {
    const comesTo = { value: 60, low: 59.8, high: 60.2, level: 0.9 }
    const settled = (hold: LoopHold, meanW: number) => withoutPauses(comesTo, meanW, hold)
    // Two resistances alike: half of what the pauses take off, about.
    expect(settled('heat', 55).value).toBeGreaterThan(57)
    expect(settled('heat', 55).value).toBeLessThan(58.5)
    expect(settled('limit', 55).value).toBe(60)
    expect(settled('demand', 55).value).toBeGreaterThan(60)
    for (const hold of ['heat', 'limit', 'demand', 'unknown'] as const) {
      const [near, far] = [settled(hold, 59), settled(hold, 50)]
      expect(far.high - far.low).toBeGreaterThan(near.high - near.low)
      expect(near.low).toBeLessThanOrEqual(near.value - 0.2)
    }
  })

  it('is what flat runs draw where a log has power alone, and never taken to be that where heat holds them', () => {
    const bare = (kind: 'heat' | 'flat') =>
      looped(kind, 10, ({ timesS, powerW, intervalS, startEpochS, startOfDayS }) => ({
        ...{ timesS, powerW, intervalS, startEpochS, startOfDayS },
        temperatureC: null,
        clockHz: null,
      }))
    const [flat, hot] = [bare('flat'), bare('heat')]
    expect(median(flat.map(({ off }) => off))).toBeLessThan(0.01)
    expect(median(flat.map(({ width }) => width))).toBeLessThan(0.08)
    expect(flat.filter(({ holds }) => holds).length).toBeGreaterThanOrEqual(0.8 * flat.length)
    expect(
      Math.min(...hot.filter(({ label }) => label !== 'power-limit').map(({ width }) => width)),
    ).toBeGreaterThan(0.02)
  })

  it('is known no better than a controller closes in on its limit anew in every run, alike to both sides', () => {
    const { value, low, high } = withoutPauses({ value: 60, low: 59.8, high: 60.2, level: 0.9 }, 60, 'heat')
    const halfW = Math.hypot(0.2, 1.645 * 0.006 * 60)
    expect(value - low).toBeCloseTo(halfW, 3)
    expect(high - value).toBeCloseTo(halfW, 3)
  })

  it('takes the mean over whole rounds, from the first run to the beginning of the last', () => {
    // 60 W for 6 s, then 10 W for 4 s; from the second round on 90 W; the last run draws 200 W and is left out.
    const timesS = Float64Array.from({ length: 41 }, (_, i) => i)
    const powerW = timesS.map((timeS) =>
      timeS > 30 ? 200 : (timeS + 9) % 10 >= 6 ? 10 : timeS > 10 ? 90 : 60,
    )
    const trace = { timesS, powerW } as Trace
    const runs = [0, 10, 20, 30].map((startS) => ({ startS, endS: startS + 6 }))
    expect(roundMean(trace, runs)).toBeCloseTo((400 + 2 * 580) / 30, 10)
    expect(roundMean(trace, runs.slice(1))).toBeCloseTo(58, 10)
  })
})
