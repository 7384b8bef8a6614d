import { describe, expect, it } from 'vitest'
import { fitChip, fitRuns, type ScoredRun } from '../../../src/fit/chip/fitChip.js'
import { HEAT_PER_K } from '../../../src/fit/chip/scoreBasis.js'
import type { Workload } from '../../../src/physics/chip/chip.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'
import { chipAtTemperature } from '../../../src/physics/chip/chipAtTemperature.js'
import { leakageHeat } from '../../../src/physics/chip/leakageHeat.js'

const POINTS: Workload = { name: 'tile render', score: 'points', better: 'higher' }
const SECONDS: Workload = { name: 'tile render', score: 's', better: 'lower' }

function run(powerW: number, score: number, parts: Partial<ScoredRun> = {}): ScoredRun {
  const profile = { powersW: [powerW], secondsS: [60], meanW: powerW }
  return { sheet: 'a', startS: 0, endS: 60, score, profile, ...parts }
}
const fitted = (runs: readonly ScoredRun[], workload = POINTS, demandW: number | null = null) =>
  fitChip({ name: 'Kestrel 16', workload, runs, demandW })
const scoreOf = (watts: number) => 1000 * (watts / 60) ** 0.5

describe('a chip of few runs', () => {
  it('has the families of the prior where one run is all there is, by whether its power was logged or noted', () => {
    const expectShares = (parts: Partial<ScoredRun>, prior: readonly number[]) => {
      const { families } = fitted([run(60, 1000, parts)])
      expect(families.map(({ shape }) => shape)).toEqual([
        'voltage-floor',
        'elasticity-course',
        'broken-power-law',
      ])
      // As well as a few hundred candidates of each fill its prior.
      families.forEach(({ probability }, f) => {
        expect(Math.abs(probability - prior[f]!)).toBeLessThan(0.03)
      })
    }
    expectShares({}, [0.8, 0.1, 0.1])
    expectShares({ powerUncertainty: 0.03 }, [0.1, 0.5, 0.4])
  })

  it('was measured where runs spent a twentieth of their time, not where a single sample strayed', () => {
    const strayed = (seconds: number) => {
      const powersW = Array.from({ length: 100 }, (_, i) =>
        i < seconds ? 30 : i >= 100 - seconds ? 150 : 60,
      )
      return { profile: { powersW, secondsS: powersW.map(() => 1), meanW: 60 } }
    }
    const rangeOf = (runs: readonly ScoredRun[]) => fitted(runs).chip.measuredRangeW
    expect(rangeOf([run(60, 1000, strayed(2)), run(70, 1080)])).toEqual([60, 70])
    expect(rangeOf([run(60, 1000, strayed(12)), run(70, 1080)])).toEqual([30, 150])
  })

  it('does in a run what its rate does in the time of it, as far as runs are timed', () => {
    const workOf = (runs: readonly ScoredRun[], workload = POINTS) =>
      fitted(runs, workload).chip.workPerRun?.value
    expect(workOf([run(60, 50), run(60, 50)])).toBeCloseTo(50 * 60, 6)
    expect(workOf([run(60, 50, { runS: 20, of: 3 }), run(60, 50, { runS: 20, of: 3 })])).toBeCloseTo(
      50 * 20,
      6,
    )
    expect(workOf([run(60, 40), run(60, 40)], SECONDS)).toBeCloseTo(60 / 40, 6)
    expect(workOf([run(60, 50, { endS: null }), run(60, 50, { endS: 0 })])).toBeUndefined()
  })

  it('scores what a run scored at its temperature, and less where it is hotter', () => {
    const { profile } = run(60, 1000)
    const { chip } = fitted([run(60, 1000, { profile: { ...profile, meanC: 52 } })])
    expect(chip.referenceC).toBe(52)
    expect(chipAt(chip, 60)!.score.value / 1000).toBeCloseTo(1, 2)
    const hotter = chipAtTemperature(chip, 77)
    const loss = Math.exp(-HEAT_PER_K * leakageHeat(77, 52))
    expect(chipAt(hotter, 60)!.score.value / chipAt(chip, 60)!.score.value).toBeCloseTo(loss, 2)
  })

  it('keeps the demand that it is told, and what it was called', () => {
    const { chip } = fitted([run(60, 1000), run(70, 1080)], POINTS, 64)
    expect(chip).toMatchObject({
      name: 'Kestrel 16',
      workload: POINTS,
      demandW: 64,
      referenceC: 78,
    })
    for (const { curve } of chip.draws)
      if (curve.shape !== 'power-law') expect(curve.topW).toBeLessThanOrEqual(64)
    expect(fitted([run(60, 1000)]).chip.demandW).toBeNull()
    expect(chip.draws).toHaveLength(240)
  })
})

describe('runs as fitted', () => {
  const POWERS_W = [40, 50, 60, 72, 86]

  it('have the scores of the curve, for scores that are better high or low', () => {
    for (const [workload, scoreAt] of [
      [POINTS, scoreOf],
      [SECONDS, (w: number) => 1e5 / scoreOf(w)],
    ] as const) {
      // The third is 2 % off: the curve says what the others say.
      const { runs, scatter } = fitted(
        POWERS_W.map((w, k) =>
          run(w, scoreAt(w) * (k === 2 ? 1.02 : 1), { startS: 60 * k, endS: 60 * k + 60 }),
        ),
        workload,
      )
      runs.forEach(({ fittedScore, meanW, startS, endS, sheet, score }, k) => {
        expect([meanW, startS, endS, sheet]).toEqual([POWERS_W[k], 60 * k, 60 * k + 60, 'a'])
        expect(Math.abs(fittedScore / scoreAt(POWERS_W[k]!) - 1)).toBeLessThan(0.012)
        expect(Math.abs(score / fittedScore - 1)).toBeGreaterThan(k === 2 ? 0.008 : -1)
      })
      expect(scatter.low).toBeLessThan(scatter.value)
      expect(scatter.high).toBeGreaterThan(scatter.value)
      expect(scatter.level).toBe(0.9)
    }
  })

  it('are doubted beside runs of their own kind: a mean of four is no surer for it', () => {
    const { runs } = fitted(POWERS_W.map((w) => run(w, scoreOf(w), w === 60 ? { of: 4 } : {})))
    expect(runs.map(({ spread }) => spread)).toEqual([1, 1, 1, 1, 1])
    expect(runs.map(({ of }) => of)).toEqual([undefined, undefined, 4, undefined, undefined])
    expect('of' in runs[0]!).toBe(false)
  })

  it('of several units or sheets may each be off by a level of their own', () => {
    const halfWidth = (parts: (k: number) => Partial<ScoredRun>) => {
      const { low, high, value } = chipAt(
        fitted(POWERS_W.map((w, k) => run(w, scoreOf(w), parts(k)))).chip,
        60,
      )!.score
      return (high - low) / 2 / value
    }
    const one = halfWidth(() => ({}))
    expect(halfWidth((k) => ({ unit: k < 3 ? 'first' : 'second' }))).toBeGreaterThan(1.1 * one)
    expect(halfWidth((k) => ({ sheet: k < 3 ? 'a' : 'b' }))).toBeGreaterThan(1.1 * one)
    expect(halfWidth(() => ({ unit: 'first' }))).toBeCloseTo(one, 9)
  })

  it('are criticised from four levels on, unless nobody asks', () => {
    const runs = POWERS_W.map((w) => run(w, scoreOf(w)))
    expect(fitted(runs.slice(0, 3)).criticism).toBeNull()
    expect(fitted(runs.slice(0, 4)).criticism).not.toBeNull()
    expect(
      fitChip({ name: 'x', workload: POINTS, runs: runs.slice(0, 4), criticism: false }).criticism,
    ).toBeNull()
  })
})

describe('levels of a chip', () => {
  /** Two runs at each power, 1 % either way of the score. */
  const pairs = (
    scores: Readonly<Record<number, number>>,
    parts: (watts: number, k: number) => Partial<ScoredRun> = () => ({}),
  ) =>
    Object.entries(scores).flatMap(([watts, score]) =>
      [0.99, 1.01].map((factor, k) => run(Number(watts), score * factor, parts(Number(watts), k))),
    )
  const FALLING = { 20: 1000, 30: 1250, 45: 1100, 60: 1600 }
  const told = (runs: readonly ScoredRun[], code: string) =>
    fitted(runs).warnings.filter((warning) => warning.code === code)

  it('are the means of their runs', () => {
    const [only, ...others] = told(pairs(FALLING), 'levels-disagree')
    expect(others).toEqual([])
    expect(only).toMatchObject({ lowerW: 30, higherW: 45, fallPct: expect.closeTo(12, 6) })
  })

  it('may fall by what heat does to a hotter one', () => {
    const warm = (hotC: number) =>
      pairs(FALLING, (watts) => {
        const { profile } = run(watts, 1)
        return { profile: { ...profile, meanC: watts === 45 ? hotC : 60 } }
      })
    expect(told(warm(60), 'levels-disagree')).toHaveLength(1)
    expect(told(warm(105), 'levels-disagree')).toEqual([])
  })

  it('have clocks where all of their runs have one, and disagree where these fall', () => {
    const rising = { 20: 1000, 30: 1200, 45: 1400 }
    const clocks = (noted: (watts: number, k: number) => boolean) =>
      pairs(rising, (watts, k) =>
        noted(watts, k) ? { clockHz: watts === 45 ? 2e9 + 4e8 * k : watts === 30 ? 2.7e9 : 2.2e9 } : {},
      )
    const [only] = told(
      clocks(() => true),
      'level-clocks-disagree',
    )
    expect(only).toMatchObject({
      lowerW: 30,
      higherW: 45,
      clockPct: expect.closeTo(100 * (2.2 / 2.7 - 1), 6),
    })
    expect(
      told(
        clocks((watts, k) => watts !== 45 || k === 0),
        'level-clocks-disagree',
      ),
    ).toEqual([])
  })

  it('come with draws of equal weight, and with the runs that are fitted without a chip', () => {
    const runs = pairs(FALLING)
    const fit = fitted(runs)
    for (const { weight } of fit.chip.draws) expect(weight).toBe(1 / 240)
    expect(fitRuns({ workload: POINTS, runs })).toEqual({ runs: fit.runs, scatter: fit.scatter })
  })
})

describe('what is refused', () => {
  it.each([0, -3, Number.NaN, Number.POSITIVE_INFINITY])('a score of %s', (score) => {
    expect(() => fitted([run(60, 1000), run(70, score)])).toThrow(
      expect.objectContaining({
        code: 'score-not-positive',
        message: `expected a score above 0, got ${score}`,
      }),
    )
  })

  it('no run at all', () => {
    expect(() => fitted([])).toThrow(
      expect.objectContaining({
        code: 'runs-missing',
        message: expect.stringContaining('at least one scored run, got none'),
        details: { remedy: 'Add runs with scores to the test sheet.' },
      }),
    )
  })
})
