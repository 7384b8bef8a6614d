import { describe, expect, it } from 'vitest'
import type { Load, Stage } from '../../../src/segment/load.js'
import { withVaryingDemand } from '../../../src/segment/settled/withVaryingDemand.js'
import { traceOf } from '../makeSteps.js'

// Twenty seconds at 80 W, twenty at 60 W, and so on for 320 s: eight blocks of 40 s, each 70 W but for the one second that the first lacks.
const timesS = Float64Array.from({ length: 321 }, (_, i) => i)
const upAndDown = timesS.map((s) => (Math.ceil(s / 20) % 2 === 1 ? 80 : 60))

const exactly = (value: number) => ({ value, low: value, high: value, level: 0.9 })

function stage(startS: number, endS: number, label: Stage['heldBy']['label'], levelW = 80): Stage {
  return {
    label: 'burst',
    shape: 'level',
    startS,
    endS,
    startInterval: null,
    levelW: exactly(levelW),
    decay: null,
    heldBy: { label, evidence: [`seen ${label}`] },
  }
}

function load(stages: readonly Stage[], more: Partial<Load> = {}): Load {
  return {
    startS: 0,
    endS: 320,
    stages,
    sustained: { reached: false, levelW: exactly(50), fromS: null, settleAfterS: null, bounds: null },
    runs: [{ startS: 0, endS: 320, meanW: 70, energyWh: 6 }],
    noiseW: 1,
    autocorrelation: 0,
    spikesAtS: [],
    showsInstants: false,
    ...more,
  }
}

const stages = [stage(0, 20, 'undetermined', 80), stage(20, 40, 'demand', 60), stage(40, 320, 'demand', 80)]
const varies = (given: Load, powerW = upAndDown) => withVaryingDemand(traceOf(timesS, powerW), given)

describe('power that goes up and down with the task', () => {
  it('is one stage, which sustains its mean', () => {
    const { stages: found, sustained } = varies(load(stages))
    expect(found).toHaveLength(1)
    expect(found[0]).toMatchObject({ label: 'sustained', shape: 'level', startS: 0, endS: 320, decay: null })
    expect(found[0]!.startInterval).toBeNull()
    expect(found[0]!.heldBy).toEqual({
      label: 'demand',
      evidence: ['seen demand', 'power goes up and down with the task, between 60.0 and 80.0 W'],
    })
    expect(sustained).toMatchObject({ reached: true, fromS: 0, bounds: null })
    expect(sustained.settleAfterS).toMatchObject({ value: 0, low: 0, high: 0 })
    expect(sustained.levelW).toEqual(found[0]!.levelW)
  })

  it('has the interval of its block means, t(0.95, 7) of them, and 0.5 % at least', () => {
    // The first sample may hold some of the time before: 39 s, 19 of them at 80 W. A sample on an edge ends in the block that it begins.
    const means = (powerW: Float64Array<ArrayBuffer>) => varies(load(stages), powerW).sustained.levelW
    const even = timesS.map((s) => ([40, 80, 120, 160, 200, 240, 280].includes(s) ? 70 : upAndDown[s]!))
    const { value, low, high, level } = means(even)
    expect(level).toBe(0.9)
    expect(value).toBeCloseTo(70, 0)
    expect(high - value).toBeCloseTo(0.005 * value, 1)
    // 66 and 74 W in turn: deviation 4 sqrt(8/7) W, t(0.95, 7) = 1.894579.
    const blocks = timesS.map((s) => (Math.min(7, Math.floor(s / 40)) % 2 === 0 ? 66 : 74))
    const scattered = means(blocks)
    expect(scattered.value).toBeCloseTo(70, 9)
    expect(scattered.high - 70).toBeCloseTo(1.894579 * Math.sqrt(16 / 7), 4)
    expect(70 - scattered.low).toBeCloseTo(1.894579 * Math.sqrt(16 / 7), 4)
    expect(low).toBeLessThan(value)
  })

  it('weighs samples by the time that they stand for, and passes over gaps in them', () => {
    const uneven = traceOf(
      Float64Array.from({ length: 241 }, (_, i) => (i <= 160 ? i : 160 + 2 * (i - 160))),
      Float64Array.from({ length: 241 }, () => 70),
    )
    uneven.powerW[100] = Number.NaN
    expect(withVaryingDemand(uneven, load(stages)).sustained.levelW.value).toBeCloseTo(70, 12)
  })

  it('lies where the load does', () => {
    const from = load(
      stages.map((one) => ({ ...one, startS: one.startS + 100, endS: one.endS + 100 })),
      {
        startS: 100,
        endS: 420,
      },
    )
    const times = Float64Array.from({ length: 600 }, (_, i) => i)
    const powers = times.map((s) => (s <= 101 || s > 420 ? 500 : 66 + 8 * (Math.floor((s - 100) / 40) % 2)))
    const { value, low } = withVaryingDemand(traceOf(times, powers), from).sustained.levelW
    // 66 and 74 W in turn; the last sample, at 420 s, is one of 66 W among 41.
    expect(value).toBeCloseTo(70 - 8 / 41 / 8, 9)
    expect(low).toBeGreaterThan(65)
  })

  it('may be open before its first drop, where the columns say less', () => {
    const opens = [stages[0]!, stage(20, 40, 'undetermined', 90), stages[2]!]
    expect(varies(load(opens)).stages).toHaveLength(1)
  })

  it('keeps the evidence of a single stage', () => {
    expect(varies(load([stage(0, 320, 'demand')])).stages[0]!.heldBy.evidence).toEqual(['seen demand'])
  })
})

describe('a load stays as it was', () => {
  const settled = { reached: true, levelW: exactly(70), fromS: 0, settleAfterS: exactly(0), bounds: null }

  it.each([
    ['that may be held by anything', load([stage(0, 320, 'undetermined')])],
    ['of less than two minutes, late in its log', load(stages, { startS: 150, endS: 260 })],
    ['in a loop', load(stages, { runs: [1, 2].map(() => ({ startS: 0, endS: 9, meanW: 1, energyWh: 1 })) })],
    ['of less than two minutes', load(stages, { endS: 119.9 })],
    ['that has settled with one or two stages', load(stages.slice(1), { sustained: settled })],
    ['whose last stage something else holds', load([...stages, stage(320, 321, 'power-limit')])],
    ['whose last stage is open', load([stage(0, 20, 'demand'), stage(20, 40, 'undetermined')])],
    ['that heat or a limit held first', load([stage(0, 20, 'heat'), stage(20, 40, 'demand')])],
    ['that a limit held in between', load([stages[0]!, stage(20, 40, 'power-limit'), stages[2]!])],
    ['that is open in between', load([stage(0, 20, 'demand'), stage(20, 40, 'undetermined'), stages[2]!])],
    ['with two long stages', load([stage(0, 120, 'demand'), stage(120, 320, 'demand')])],
  ])('%s', (_, given) => {
    expect(varies(given)).toBe(given)
  })

  it('with a course from one half to the other: two standard errors and 1 % of the mean', () => {
    const halves = (laterW: number) => timesS.map((s) => (s < 160 ? 70 : laterW))
    const given = load(stages)
    // Means 70 and 70 - d: deviation (d/2) sqrt(8/7), twice the standard error of a half's 4 sqrt(1/7) d/2 = 0.756 d; the rest exceeds 0.7 - d/200 from 2.81 on.
    expect(varies(given, halves(67.1))).toBe(given)
    expect(varies(given, halves(67.3))).not.toBe(given)
    expect(varies(given, halves(73))).toBe(given)
  })

  it('but for two minutes, a settled load of three stages, or one long stage', () => {
    expect(varies(load(stages, { endS: 120 }))).toMatchObject({ stages: [{ label: 'sustained' }] })
    expect(varies(load(stages, { sustained: settled })).stages).toHaveLength(1)
    expect(varies(load([stage(0, 119.9, 'demand'), stage(119.9, 320, 'demand')])).stages).toHaveLength(1)
    const three = [stage(0, 100, 'demand'), stage(100, 210, 'demand'), stage(210, 320, 'demand')]
    expect(varies(load(three)).stages).toHaveLength(1)
  })

  it('where a part of it has no samples', () => {
    const given = load(stages)
    const holed = upAndDown.map((watts, i) => (i >= 80 && i <= 121 ? Number.NaN : watts))
    expect(varies(given, holed)).toBe(given)
  })
})
