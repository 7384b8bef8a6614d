import { describe, expect, it } from 'vitest'
import type { Trace } from '../../../src/log/trace.js'
import type { Cycles } from '../../../src/segment/cut/cycles.js'
import type { StageCycle } from '../../../src/segment/load.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { cycleOf, explainCycles } from '../../../src/segment/stages/explainCycles.js'
import { draftsOf } from '../makeRun.js'
import { traceOf } from '../makeSteps.js'

const PERIOD = 20
/** Cycles of 20 s from 60 s on: 8 s low, then 12 s high; the last edge is where the last one ends. */
const CYCLES: Cycles = {
  edges: Array.from({ length: 8 }, (_, k) => 60 + PERIOD * k),
  turns: Array.from({ length: 7 }, (_, k) => 68 + PERIOD * k),
  opensHigh: false,
  lowW: 30,
  highW: 60,
  beginsLate: true,
}

/** A burst of 60 samples, one a second, and a stage that swings, with so many samples of it before the swing. */
function swinging(cycles: Cycles | undefined = CYCLES, { samples = 140, before = 60 } = {}): DraftStage {
  const parts = [[{ samples: before, levelW: 60 }], [{ samples, levelW: 48 }]]
  const draft = draftsOf(['level', 'level'], { parts, startS: 10 }).at(-1)!
  const [stretch] = draft.stretches
  const series = { ...stretch!.run.series, ...(cycles ? { cycles } : {}) }
  return { ...draft, stretches: [{ ...stretch!, run: { ...stretch!.run, series } }] }
}

const CYCLE: StageCycle = { lowW: 30.4, highW: 59.6, periodS: PERIOD, highShare: 0.6 }

/** The run's log: hot where power falls, cool where it comes back, as degrees at the k-th of each. */
function traceWith(
  fallsC: (k: number) => number,
  returnsC: (k: number) => number,
  noneAt: readonly number[] = [],
): Trace {
  const timesS = Float64Array.from({ length: 220 }, (_, i) => 10 + i)
  const temperatureC = timesS.map(() => 75)
  CYCLES.edges.forEach((at, k) => {
    temperatureC[at - 1] = fallsC(k)
  })
  CYCLES.turns.forEach((at, k) => {
    temperatureC[at - 1] = returnsC(k)
  })
  for (const at of noneAt) temperatureC[at - 1] = Number.NaN
  return traceOf(
    timesS,
    timesS.map(() => 50),
    temperatureC,
  )
}

describe('how power swings in a stage', () => {
  it('is told by its levels, its usual period and how long it stays high', () => {
    const { periodS, highShare, ...levels } = cycleOf(swinging())!
    expect(levels).toEqual({ lowW: 30, highW: 60 })
    expect(periodS).toBeCloseTo(20, 9)
    expect(highShare).toBeCloseTo(0.6, 9)
    const opensHigh = cycleOf(swinging({ ...CYCLES, opensHigh: true }))!
    expect(opensHigh.highShare).toBeCloseTo(0.4, 9)
  })

  it('is that of its last five cycles', () => {
    // Two of 40 s, 30 of them low, before five of 20 s, 8 of them low; of the five the middle counts.
    const edges = [60, 100, 140, 160, 180, 200, 221, 239]
    const turns = [90, 130, 148, 168, 188, 208, 228]
    const { periodS, highShare } = cycleOf(swinging({ ...CYCLES, edges, turns }, { samples: 180 }))!
    expect(periodS).toBeCloseTo(20, 9)
    expect(highShare).toBeCloseTo(0.6, 9)
    const two = cycleOf(swinging({ ...CYCLES, edges: [60, 80, 110], turns: [70, 95] }))!
    expect(two.periodS).toBeCloseTo(25, 9)
    expect(two.highShare).toBeCloseTo(0.5, 9)
  })

  it('is that of a stage of which the swing fills four fifths', () => {
    expect(cycleOf(swinging(undefined))).toBeDefined()
    const { cycles: _, ...still } = swinging().stretches[0]!.run.series
    const draft = swinging()
    const [stretch] = draft.stretches
    expect(
      cycleOf({ ...draft, stretches: [{ ...stretch!, run: { ...stretch!.run, series: still } }] }),
    ).toBeUndefined()
    // Of 100 samples from 40 on, 80 lie in it; of 101 from 39 on, 80, too.
    expect(cycleOf(swinging(CYCLES, { before: 41, samples: 99 }))).toBeDefined()
    expect(cycleOf(swinging(CYCLES, { before: 40, samples: 100 }))).toBeUndefined()
    expect(cycleOf(swinging(CYCLES, { before: 90, samples: 50 }))).toBeDefined()
  })
})

describe('what makes power swing', () => {
  const explained = (trace: Trace, draft = swinging(), cycle = CYCLE) => explainCycles(trace, draft, cycle)
  const heat = traceWith(
    () => 95,
    () => 80,
  )

  it('is heat where it falls at one temperature, returns at another, and began late', () => {
    expect(explained(heat)).toEqual({
      label: 'heat',
      evidence: [
        'power swings between 30 W and 60 W every 20 s',
        'it falls whenever the temperature comes to 95 °C, for the first time after 59 s, and returns at 80 °C',
      ],
    })
  })

  it('is heat of a swing that opens high, too', () => {
    const other = traceWith(
      () => 80,
      () => 95,
    )
    const told = explained(other, swinging({ ...CYCLES, opensHigh: true }))
    expect(told!.label).toBe('heat')
    expect(told!.evidence[1]).toContain('comes to 95 °C, for the first time after 67 s, and returns at 80 °C')
  })

  it('is nothing that is told where one level fills more than 85 % of the time', () => {
    for (const [highShare, isTold] of [
      [0.84, true],
      [0.86, false],
      [0.16, true],
      [0.14, false],
    ] as const)
      expect(explained(heat, swinging(), { ...CYCLE, highShare }) !== null).toBe(isTold)
  })

  it('is open where temperatures at the falls differ by more than 3 K from the usual one', () => {
    const spread = (least: number, most: number) =>
      explained(
        traceWith(
          (k) => (k === 1 ? least : k === 2 ? most : 95),
          () => 80,
        ),
      )
    expect(spread(92, 98)!.label).toBe('heat')
    for (const told of [spread(91.5, 95), spread(95, 98.5)]) {
      expect(told!.label).toBe('undetermined')
      expect(told!.evidence[1]).toContain('a task that works by turns looks the same')
    }
    expect(spread(91, 95)!.evidence[1]).toContain('temperature is 91 to 95 °C where it falls')
  })

  it('is open where power returns at nearly the same temperature, or began to swing at once', () => {
    expect(
      explained(
        traceWith(
          () => 95,
          () => 93,
        ),
      )!.label,
    ).toBe('heat')
    expect(
      explained(
        traceWith(
          () => 95,
          () => 93.5,
        ),
      )!.label,
    ).toBe('undetermined')
    expect(explained(heat, swinging({ ...CYCLES, beginsLate: false }))!.label).toBe('undetermined')
  })

  it('is open without temperatures at three falls and three returns', () => {
    const { edges, turns } = CYCLES
    const without = (fallsLeft: number, returnsLeft: number) =>
      explained(
        traceWith(
          () => 95,
          () => 80,
          [
            // A fall whose sample has none may be told by the one before it.
            ...edges.slice(fallsLeft).flatMap((at) => [at, at - 1]),
            ...turns.slice(returnsLeft).flatMap((at) => [at, at - 1]),
          ],
        ),
      )!
    expect(without(3, 3).label).toBe('heat')
    expect(without(2, 7).label).toBe('undetermined')
    expect(without(8, 2).label).toBe('undetermined')
    expect(without(8, 2).evidence[1]).toBe(
      'a controller of the temperature does so, and a task that works by turns',
    )
    const blind = explained({ ...heat, temperatureC: null })!
    expect(blind.label).toBe('undetermined')
    expect(blind.evidence[1]).toContain('works by turns; the log has no temperature to show which')
  })

  it('is told by what lies in the stage, and the edge that opens it', () => {
    // Falls of another kind before the stage count for nothing: it begins at the third cycle.
    const draft = swinging(CYCLES, { before: 105, samples: 95 })
    const early = traceWith(
      (k) => (k < 2 ? 60 : 95),
      () => 80,
    )
    expect(explained(early, draft)!.label).toBe('heat')
    // Five seconds before its start are its own edge's.
    const near = swinging(CYCLES, { before: 85, samples: 115 })
    expect(explained(early, near)!.label).toBe('undetermined')
    expect(explained(early, swinging(CYCLES, { before: 86, samples: 114 }))!.label).toBe('heat')
  })
})
