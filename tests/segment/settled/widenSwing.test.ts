import { describe, expect, it } from 'vitest'
import { ESTIMATE_EDGE } from '../../../src/numeric/statistics/estimate.js'
import type { Cycles } from '../../../src/segment/cut/cycles.js'
import type { Sustained } from '../../../src/segment/load.js'
import { widenSwing } from '../../../src/segment/settled/widenSwing.js'
import { draftsOf } from '../makeRun.js'

/** A stage of cycles of ten samples each with these means, from the first sample of a run on. */
function swing(means: readonly number[], { skipped = 0 } = {}) {
  const [draft] = draftsOf(['level'], { parts: [[{ samples: 10 * means.length, levelW: 50 }]] })
  const { run, part, ...rest } = draft!.stretches[0]!
  const edges = [...means, 0].map((_, k) => 10 * k)
  const cycles: Cycles = { edges, turns: [], opensHigh: true, lowW: 40, highW: 60, beginsLate: true }
  const powerW = run.series.powerW.map((_, i) => means[Math.floor(i / 10)]!)
  const of = { ...part, from: 10 * skipped }
  return {
    shape: 'level' as const,
    stretches: [{ ...rest, part: of, run: { ...run, series: { ...run.series, powerW, cycles } } }],
  }
}

const level = (value: number, reached = true): Sustained => ({
  reached,
  levelW: { value, low: value - 0.3, high: value + 0.4, level: 0.9 },
  fromS: 0,
  settleAfterS: null,
  bounds: null,
})

/** How far the interval reaches below and above its value. */
function reach(sustained: Sustained, draft: ReturnType<typeof swing>) {
  const { value, low, high } = widenSwing(sustained, draft).levelW
  expect(value).toBe(sustained.levelW.value)
  return [value - low, high - value] as const
}

describe('the settled power of a swing', () => {
  it('is known as well as the means of cycles that differ by turns', () => {
    // Steps of 2 and -2 by turns: their deviation is 2 √(5 / 4 · 24/25), that of a mean √2 less, that of six means √6 less again.
    const [below, above] = reach(level(50), swing([49, 51, 49, 51, 49, 51]))
    const steps = Math.sqrt((3 * 1.6 ** 2 + 2 * 2.4 ** 2) / 4)
    const error = ESTIMATE_EDGE * Math.hypot(steps / Math.sqrt(12), 0.002 * 50)
    // The later three are a third of a watt above the earlier three.
    expect(above).toBeCloseTo(Math.hypot(0.4, error, 1 / 3), 9)
    expect(below).toBeCloseTo(Math.hypot(0.3, error), 9)
  })

  it('is known to a fifth of a per cent at best', () => {
    const [below, above] = reach(level(100), swing([50, 50, 50]))
    expect(below).toBeCloseTo(Math.hypot(0.3, 0.2 * ESTIMATE_EDGE), 9)
    expect(above).toBeCloseTo(Math.hypot(0.4, 0.2 * ESTIMATE_EDGE), 9)
  })

  it('may go on to where its means drift, up or down, if it has settled', () => {
    const error = 0.1 * ESTIMATE_EDGE
    // Even steps scatter by nothing; the halves of five share the middle one: 52 to 51 and 48 to 49.
    const falling = reach(level(50), swing([52, 51, 50, 49, 48]))
    expect(falling[0]).toBeCloseTo(Math.hypot(0.3, error, 1), 9)
    expect(falling[1]).toBeCloseTo(Math.hypot(0.4, error), 9)
    const rising = reach(level(50), swing([48, 49, 50, 51, 52]))
    expect(rising[0]).toBeCloseTo(Math.hypot(0.3, error), 9)
    expect(rising[1]).toBeCloseTo(Math.hypot(0.4, error, 1), 9)
    const open = reach(level(50, false), swing([52, 51, 50, 49, 48]))
    expect(open[0]).toBeCloseTo(Math.hypot(0.3, error), 9)
  })

  it('is left as it is with fewer than three cycles in its stage, or none', () => {
    expect(widenSwing(level(50), swing([50, 52]))).toEqual(level(50))
    expect(widenSwing(level(50), swing([40, 60, 50, 52], { skipped: 2 }))).toEqual(level(50))
    const [draft] = draftsOf(['level'], { parts: [[{ samples: 60, levelW: 50 }]] })
    expect(widenSwing(level(50), draft!)).toEqual(level(50))
  })

  it('counts the cycles of its own stage', () => {
    expect(reach(level(50), swing([10, 90, 50, 50, 50], { skipped: 2 }))[0]).toBeCloseTo(
      Math.hypot(0.3, 0.1 * ESTIMATE_EDGE),
      9,
    )
  })
})
