import { describe, expect, it } from 'vitest'
import { type CurveCriticism, formsAdvantage, powerLevels } from '../../../src/fit/chip/criticiseCurve.js'
import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'

const workload = { name: 'tile render', score: 'points', better: 'higher' } as const

/** One run at each power, as noted by hand with parts of a watt. */
function fitLevels(levels: readonly (readonly [powerW: number, score: number])[], criticism = true) {
  return fitChip({
    criticism,
    name: 'Kestrel 16',
    workload,
    runs: levels.map(([powerW, score], i) => ({
      sheet: 'sweep',
      startS: 1000 * i,
      endS: null,
      score,
      profile: { powersW: [powerW], secondsS: [60], meanW: powerW },
      powerUncertainty: 0.015,
    })),
  })
}

describe('criticism of a score curve', () => {
  it('says nothing of three levels', () => {
    expect(
      fitLevels([
        [20, 100],
        [30, 120],
        [45, 140],
      ]).criticism,
    ).toBeNull()
  })

  it('is left out where nobody asked, but not where it may widen intervals', () => {
    const levels = [20, 27, 36, 48, 64].map((powerW) => [powerW, 100 * powerW ** 0.6] as const)
    const four = levels.slice(0, 4)
    expect(fitLevels(four, false)).toEqual({ ...fitLevels(four), criticism: null })
    expect(fitLevels(four).criticism).not.toBeNull()
    expect(fitLevels(levels, false)).toEqual(fitLevels(levels))
  })

  it('foretells levels of a power law as well as a power law does, to a per cent, and straight lines worse', () => {
    const { criticism } = fitLevels([20, 27, 36, 48, 64].map((powerW) => [powerW, 100 * powerW ** 0.6]))
    const missOf = (name: string) => criticism!.forms.find(({ form }) => form === name)!.missPct
    expect(criticism!.leftOut).toBe(5)
    expect(missOf('power law')).toBeLessThan(1e-6)
    // Least squares by hand of the other four: 55.36 + 17.84 P, and so on; the ends are missed by most.
    expect(missOf('straight line')).toBeGreaterThan(2)
    expect(criticism!.missPct).toBeLessThan(6)
  })

  it('widens its interval where a simple form is clearly better, and says which', () => {
    // Elasticity grows with power, as of no chip: an exponential is exact, and the curve misses by some per cent.
    const { criticism, warnings, chip } = fitLevels(
      [40, 50, 62, 75, 87, 100].map((powerW) => [powerW, 1000 * Math.exp(powerW / 60)]),
    )
    expect(criticism!.forms[0]!.form).toBe('exponential')
    expect(warnings.map(({ code }) => code)).toContain('simple-form-better')
    for (const powerW of [40, 100]) {
      const { value, low, high } = chipAt(chip, powerW)!.score
      // At the ends the miss is a standard deviation; a 90 % interval has 3.29 of them.
      expect((high - low) / value).toBeGreaterThan((0.9 * 3.29 * criticism!.missPct) / 100)
      expect(low).toBeLessThan(1000 * Math.exp(powerW / 60))
      expect(high).toBeGreaterThan(1000 * Math.exp(powerW / 60))
    }
  })
})

describe('levels that disagree', () => {
  it('are named where more power scores less than runs scatter by', () => {
    const { warnings } = fitLevels([
      [20, 1000],
      [30, 1250],
      [45, 1100],
      [60, 1600],
    ])
    const told = warnings.find((warning) => warning.code === 'levels-disagree')
    expect(told).toMatchObject({ lowerW: 30, higherW: 45 })
    expect(told?.code === 'levels-disagree' ? told.fallPct : 0).toBeCloseTo(12, 6)
  })

  it('are not named where the score goes flat', () => {
    const { warnings } = fitLevels([
      [20, 1000],
      [30, 1250],
      [45, 1245],
      [60, 1251],
    ])
    expect(warnings.some(({ code }) => code === 'levels-disagree')).toBe(false)
  })
})

describe('powers that can be told apart', () => {
  it('are the runs within 3 % of the lowest of them, by rising power', () => {
    expect(powerLevels([44, 61, 44.5])).toEqual([[0, 2], [1]])
    expect(powerLevels([61, 44.5, 80, 44])).toEqual([[3, 1], [0], [2]])
    expect(powerLevels([100, 102.9, 103.1])).toEqual([[0, 1], [2]])
    // The lowest counts, not the one before.
    expect(powerLevels([100, 102, 104, 106])).toEqual([
      [0, 1],
      [2, 3],
    ])
    expect(powerLevels([])).toEqual([])
  })
})

describe('what a simple form does better', () => {
  const advantage = (missPct: number, bestPct: number, levels = 6) =>
    formsAdvantage({
      levels,
      leftOut: levels,
      missPct,
      forms: [
        { form: 'power law', missPct: bestPct },
        { form: 'parabola', missPct: 9 },
      ],
    } satisfies CurveCriticism)

  it('is the deviation that is left when its own is taken away', () => {
    expect(advantage(5, 3)).toBeCloseTo(0.04, 9)
  })

  it('is nothing below half as much again, half a per cent, or of four levels', () => {
    expect(advantage(4.4, 3)).toBe(0)
    expect(advantage(4.6, 3)).toBeGreaterThan(0)
    expect(advantage(0.8, 0.35)).toBe(0)
    expect(advantage(0.9, 0.35)).toBeGreaterThan(0)
    expect(advantage(5, 3, 4)).toBe(0)
    expect(advantage(5, 3, 5)).toBeGreaterThan(0)
  })

  it('is told by six levels at most, the lowest and the highest among them', () => {
    const { criticism } = fitLevels(
      [20, 24, 29, 35, 42, 50, 60, 72].map((powerW) => [powerW, 100 * powerW ** 0.6] as const),
    )
    expect(criticism).toMatchObject({ levels: 8, leftOut: 6 })
  })
})
