import { describe, expect, it } from 'vitest'
import { findLoads } from '../../src/segment/findLoads.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { makeSteps, traceOf } from './makeSteps.js'

const IDLE = [6, 30] as const

describe('a load whose power rises', () => {
  it('has no burst: a burst is what power falls from', () => {
    const [load] = findLoads(makeSteps({ levels: [IDLE, [30, 20], [45, 20], [60, 90], IDLE] }))
    expect(load!.stages[0]!.levelW.value).toBeLessThan(load!.stages.at(-1)!.levelW.value)
    expect(load!.stages.map(({ label }) => label)).not.toContain('burst')
  })

  it('has one where it falls first', () => {
    const [load] = findLoads(makeSteps({ levels: [IDLE, [60, 20], [45, 300], IDLE] }))
    expect(load!.stages[0]!.label).toBe('burst')
  })
})

describe('a load whose power goes up and down', () => {
  const uneven = [30, 45, 28, 50, 33, 47, 31, 52].map((powerW, k) => [powerW, 12 + 2 * (k % 3)] as const)

  it('is told by its range and mean, not stage by stage', () => {
    const [load] = findLoads(makeSteps({ levels: [IDLE, ...uneven, IDLE], everyS: 0.5 }))
    expect(load!.stages.length).toBeGreaterThanOrEqual(6)
    const text = concludeStages(load!)
    expect(text).toMatch(/^Power goes up and down, between [\d.]+\sW and [\d.]+\sW in \d stages/)
    expect(text).not.toMatch(/then/)
  })

  it('has no one sustained power where the task asks for it', () => {
    const [load] = findLoads(makeSteps({ levels: [IDLE, ...uneven, IDLE], everyS: 0.5 }))
    const asked = load!.stages.map((stage) => ({
      ...stage,
      heldBy: { label: 'demand' as const, evidence: [] },
    }))
    const unbounded = { ...load!.sustained, reached: false, bounds: null }
    const text = concludeStages({ ...load!, stages: asked, sustained: unbounded })
    expect(text).toMatch(/goes up and down with the task.*no one sustained power/s)
    expect(text).not.toMatch(/Test longer/)
  })
})

it('a task in waves is told by what its runs draw on average too, not by their last level alone', () => {
  // 127 W of idle, then five waves of 25 s between 215 and 695 W, sampled twice a second.
  const powerW = Float64Array.from({ length: 330 }, (_, i) => {
    if (i < 40 || i >= 290) return 127 + 0.3 * (i % 2)
    return Math.min(692, 445 + 300 * Math.sin((2 * Math.PI * (i - 40)) / 50)) + 3 * ((i * 7) % 5)
  })
  const timesS = powerW.map((_, i) => i / 2)
  const loads = findLoads({
    ...traceOf(timesS, powerW),
    usePct: timesS.map((s) => (s < 20 || s >= 145 ? 0 : 40)),
  })
  expect(loads).toHaveLength(1)
  const load = loads[0]!
  expect(concludeStages(load)).toMatch(
    /\(51\d\sW on average in its runs, each of which asks for more first\)/,
  )
  const levelW = load.stages.at(-1)!.levelW
  const bounds = { floorW: levelW.low, ceilingW: levelW.high }
  const tooShort = concludeStages({ ...load, sustained: { ...load.sustained, reached: false, bounds } })
  expect(tooShort).toMatch(
    /Its runs draw 51\d\sW on average, each of which begins higher\. That is too short/,
  )
})
