import { describe, expect, it } from 'vitest'
import { chipWarnings } from '../../../src/fit/chip/chipWarnings.js'
import { levelWarnings } from '../../../src/fit/chip/levelWarnings.js'
import type { MeasuredLevel } from '../../../src/fit/chip/simpleForms.js'
import { about } from '../../predict/fixtures.js'

const run = { sheet: 'wren.yaml', startS: 30, score: 100, fittedScore: 100, spread: 1 }
const three = [run, run, run]
const quiet = { value: 0.005, low: 0.003, high: 0.008, level: 0.9 }

function warned(parts: Partial<Parameters<typeof chipWarnings>[0]>) {
  const warnings = chipWarnings({
    runs: three,
    measuredRangeW: [50, 70],
    demandW: null,
    scatter: quiet,
    ...parts,
  })
  return warnings.map(({ code }) => code)
}

describe('warnings of a fitted chip', () => {
  it('are none of three runs over a range of powers', () => {
    expect(warned({})).toEqual([])
  })

  it('tell of fewer than three runs', () => {
    expect(warned({ runs: three.slice(1) })).toEqual(['scored-runs-few'])
  })

  it('tell of powers within 8 % of each other, unless the task asks for no more', () => {
    expect(warned({ measuredRangeW: [50, 53.9] })).toEqual(['powers-alike'])
    expect(warned({ measuredRangeW: [50, 54] })).toEqual([])
    expect(warned({ measuredRangeW: [50, 53.9], demandW: 54 })).toEqual([])
  })

  it('tell of a run that was set back and lies off the curve by more than 1 %', () => {
    const off = (spread: number, score: number) => warned({ runs: [...three, { ...run, spread, score }] })
    expect(off(1.6, 90)).toEqual(['run-off-curve'])
    expect(off(1.6, 102)).toEqual(['run-off-curve'])
    expect(off(1.5, 90)).toEqual([])
    expect(off(1.6, 100.9)).toEqual([])
    expect(off(1.6, 99.1)).toEqual([])
    const [warning] = chipWarnings({
      runs: [run, run, { ...run, spread: 2, score: 90, startS: 60 }],
      measuredRangeW: [50, 70],
      demandW: null,
      scatter: quiet,
    })
    expect(warning).toEqual({
      code: 'run-off-curve',
      sheet: 'wren.yaml',
      run: 2,
      startS: 60,
      score: 90,
      offPct: expect.closeTo(-10, 9),
    })
  })

  it('tell of scores that scatter by more than 2 % for sure', () => {
    expect(warned({ scatter: { value: 0.03, low: 0.021, high: 0.04, level: 0.9 } })).toEqual([
      'scores-scatter',
    ])
    expect(warned({ scatter: { value: 0.03, low: 0.02, high: 0.04, level: 0.9 } })).toEqual([])
  })
})

describe('warnings of measured levels', () => {
  const level = (powerW: number, rate: number, clockGHz?: number) =>
    clockGHz === undefined ? { powerW, rate } : { powerW, rate, clockHz: clockGHz * 1e9 }
  const of = (measured: readonly MeasuredLevel[], scatterShare = 0.001, powerUncertainty = 0) =>
    levelWarnings({
      measured,
      criticism: null,
      runs: [{ powerUncertainty }, {}],
      scatter: { ...about(scatterShare), value: scatterShare },
    })

  it('tell of a score that falls with power by more than 1 %', () => {
    expect(of([level(40, 100), level(50, 98.9)])).toEqual([
      { code: 'levels-disagree', lowerW: 40, higherW: 50, fallPct: expect.closeTo(1.1, 9) },
    ])
    expect(of([level(40, 100), level(50, 99.1)])).toEqual([])
    expect(of([level(40, 100), level(50, 120), level(60, 110)])).toHaveLength(1)
  })

  it('but not of a hotter one by what leakage may take, nor of another unit by what units differ', () => {
    const hot = (heatK: number, rate: number) => ({ ...level(50, rate), heatK })
    const cool = { ...level(40, 100), heatK: -20 }
    // 20 K warmer: 1 % + 20 × 0.3 % = 7 %.
    expect(of([cool, hot(0, 93.1)])).toEqual([])
    expect(of([cool, hot(0, 92.9)])).toHaveLength(1)
    expect(of([cool, hot(-30, 98.9)])).toHaveLength(1)
    const unit = (powerW: number, rate: number, name: string) => ({ ...level(powerW, rate), units: [name] })
    expect(of([unit(40, 100, 'a'), unit(50, 97.3, 'b')])).toEqual([])
    expect(of([unit(40, 100, 'a'), unit(50, 97.1, 'b')])).toHaveLength(1)
    expect(of([unit(40, 100, 'a'), unit(50, 97.3, 'a')])).toHaveLength(1)
  })

  it('and by more than 2.8 times what runs scatter, taken for 2 % at most, and powers may be off', () => {
    expect(of([level(40, 100), level(50, 97.3)], 0.01)).toEqual([])
    expect(of([level(40, 100), level(50, 97.1)], 0.01)).toHaveLength(1)
    expect(of([level(40, 100), level(50, 94.5)], 0.05)).toEqual([])
    expect(of([level(40, 100), level(50, 94.3)], 0.05)).toHaveLength(1)
    // 2.8 × hypot(0.01, 0.3 × 0.05) = 5.05 %.
    expect(of([level(40, 100), level(50, 95.1)], 0.01, 0.05)).toEqual([])
    expect(of([level(40, 100), level(50, 94.9)], 0.01, 0.05)).toHaveLength(1)
  })

  it('tell of a clock that falls with power by more than 1 %', () => {
    expect(of([level(40, 100, 3), level(50, 101, 2.96)])).toEqual([
      {
        code: 'level-clocks-disagree',
        lowerW: 40,
        higherW: 50,
        clockPct: expect.closeTo(-1.3333, 3),
        scorePct: expect.closeTo(1, 9),
      },
    ])
    expect(of([level(40, 100, 3), level(50, 101, 2.98)])).toEqual([])
    expect(of([level(40, 100), level(50, 101, 2.9)])).toEqual([])
    expect(of([level(40, 100, 3), level(50, 101)])).toEqual([])
  })

  it('and of a score that grows more than its clock does, beside 2.8 times the scatter and 1 %', () => {
    // 10 % of clock; 2.8 × 0.01 + 0.01 more.
    expect(of([level(40, 100, 3), level(50, 114.1, 3.3)], 0.01)).toEqual([])
    expect(of([level(40, 100, 3), level(50, 114.3, 3.3)], 0.01)).toHaveLength(1)
    // A clock that is a little lower allows no less than one that is alike.
    expect(of([level(40, 100, 3), level(50, 103.7, 2.98)], 0.01)).toEqual([])
    expect(of([level(40, 100, 3), level(50, 103.9, 2.98)], 0.01)).toHaveLength(1)
  })

  it('tell of a simple form that foretells clearly better', () => {
    const criticism = (missPct: number, levels = 6) => ({
      levels,
      leftOut: 6,
      missPct,
      forms: [
        { form: 'power law' as const, missPct: 1 },
        { form: 'parabola' as const, missPct: 2 },
      ],
    })
    const told = (missPct: number, levels?: number) =>
      levelWarnings({ measured: [], criticism: criticism(missPct, levels), runs: [], scatter: quiet })
    expect(told(1.6)).toEqual([
      { code: 'simple-form-better', form: 'power law', formMissPct: 1, missPct: 1.6 },
    ])
    expect(told(1.4)).toEqual([])
    expect(told(1.6, 4)).toEqual([])
  })
})
