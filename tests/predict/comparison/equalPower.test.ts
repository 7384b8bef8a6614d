import { describe, expect, test } from 'vitest'
import type { Chip, WeightedCurve } from '../../../src/physics/chip/chip.js'
import { type ComparedMachine, compareChips } from '../../../src/predict/comparison/compareChips.js'
import { about } from '../fixtures.js'

/** A chip of flat curves: the rate is the same at any power, one draw for each. */
function flatChip(name: string, rates: readonly number[], parts: Partial<Chip> = {}): Chip {
  const draws = rates.map((scale): WeightedCurve => {
    return { weight: 1 / rates.length, curve: { shape: 'power-law', scale, exponent: 0 } }
  })
  return {
    name,
    workload: { name: 'sort', score: 'points', better: 'higher' },
    measuredRangeW: [40, 80],
    draws,
    demandW: null,
    workPerRun: null,
    ...parts,
  }
}
const machine = (chip: Chip, parts: Partial<ComparedMachine> = {}): ComparedMachine => ({
  machine: `with ${chip.name}`,
  chip,
  sustainedW: 60,
  ...parts,
})
const at = (chips: readonly Chip[], powerW = 60) =>
  compareChips({ machines: chips.map((chip) => machine(chip)), atW: [powerW] }).at[0]!
const [low, high, both] = [flatChip('Low', [100]), flatChip('High', [120]), flatChip('Both', [90, 150])]

describe('chips at one power', () => {
  test('have their scores and points per watt, in the order in which they are named', () => {
    const { powerW, scores, ratio } = at([low, high])
    expect(powerW).toBe(60)
    expect(
      scores.map(({ chip, machine: of, score, perWatt }) => [chip, of, score.value, perWatt.value]),
    ).toEqual([
      ['Low', 'with Low', expect.closeTo(100, 9), expect.closeTo(100 / 60, 9)],
      ['High', 'with High', expect.closeTo(120, 9), expect.closeTo(2, 9)],
    ])
    expect(ratio.value).toBeCloseTo(100 / 120, 9)
  })

  test('are ahead with the weight of the draws in which they are', () => {
    expect(at([low, both]).probabilityFirstAhead).toBeCloseTo(0.5, 2)
    expect(at([both, high]).probabilityFirstAhead).toBeCloseTo(0.5, 2)
    expect(at([low, flatChip('Same', [100])]).probabilityFirstAhead).toBeCloseTo(0.5, 9)
    expect(at([flatChip('Most', [110, 110, 110, 90]), low]).probabilityFirstAhead).toBeCloseTo(0.75, 2)
  })

  test('are ranked by their middle, with how often each is the best of all: ties share', () => {
    // The middle of 90 and 150 is 120, too: equal ones keep the order in which they are named.
    const { ranking, ratio } = at([low, both, high, flatChip('Also high', [120])])
    expect(ranking.map(({ chip }) => chip)).toEqual(['Both', 'High', 'Also high', 'Low'])
    const best = new Map(ranking.map(({ chip, probabilityBest }) => [chip, probabilityBest]))
    expect(best.get('Both')).toBeCloseTo(0.5, 2)
    expect(best.get('High')).toBeCloseTo(0.25, 2)
    expect(best.get('Also high')).toBeCloseTo(0.25, 2)
    expect(best.get('Low')).toBe(0)
    // The ratio is that of the first two, whoever else there is.
    expect(ratio.low).toBeCloseTo(100 / 150, 9)
    expect(ratio.high).toBeCloseTo(100 / 90, 9)
  })

  test('have their ratio from draws in which both do work', () => {
    const idle = flatChip('Idle', [110, 110, 110, 0])
    for (const [chips, ratio] of [
      [[idle, low], 1.1],
      [[low, idle], 1 / 1.1],
    ] as const) {
      const found = at(chips).ratio
      expect([found.low, found.value, found.high]).toEqual([
        expect.closeTo(ratio, 9),
        expect.closeTo(ratio, 9),
        expect.closeTo(ratio, 9),
      ])
    }
  })

  test('of which one does no work in most draws are refused at that power', () => {
    const dead = flatChip('Dead', [0, 0, 0, 100])
    expect(() => at([low, dead], 45)).toThrow(
      expect.objectContaining({
        code: 'power-below-chip',
        message: "Dead was measured from 40 to 80 W; whether it would run at all at 45 W can't be told.",
        details: { remedy: 'Compare at a power nearer to 40 W.' },
      }),
    )
  })
})

describe('powers outside of what was measured', () => {
  test('are marked by more than a per cent', () => {
    const outside = (powerW: number) =>
      at([low, flatChip('Wide', [90], { measuredRangeW: [10, 200] })], powerW)
    expect([39.5, 39.7, 80.7, 80.9].map((powerW) => outside(powerW).extrapolated)).toEqual([
      ['Low'],
      [],
      [],
      ['Low'],
    ])
  })

  test('are warned of once for each chip, by the farthest of them', () => {
    const warned = (atW: readonly number[]) =>
      compareChips({ machines: [machine(low), machine(high)], atW }).warnings.map((warning) => ({
        ...warning,
      }))
    const warning = (powerW: number) => ({ code: 'extrapolated', measuredRangeW: [40, 80], powerW })
    // 40 / 30 against 100 / 80, 40 / 35 against 100 / 80.
    expect(warned([30, 60, 100])).toEqual([warning(30), warning(30)])
    expect(warned([35, 60, 100, 90])).toEqual([warning(100), warning(100)])
    expect(warned([50, 60])).toEqual([])
  })
})

describe('machines of a comparison', () => {
  test('are told with what was measured of them, each of those that were tested', () => {
    const tested = [
      machine(low, { sustained: about(60), steadyScore: about(99) }),
      machine(high, { sustainedW: null }),
      machine(low, { machine: 'another', sustainedW: 50 }),
    ]
    const { machines } = compareChips({ machines: tested.slice(0, 2), tested })
    expect(machines).toEqual([
      {
        machine: 'with Low',
        chip: 'Low',
        sustainedW: 60,
        sustained: about(60),
        score: expect.objectContaining({ value: expect.closeTo(100, 9) }),
        steadyScore: about(99),
      },
      {
        machine: 'with High',
        chip: 'High',
        sustainedW: null,
        sustained: null,
        score: null,
        steadyScore: null,
      },
      expect.objectContaining({ machine: 'another', sustainedW: 50, sustained: null, steadyScore: null }),
    ])
  })

  test('have no score at a power at which they do no work', () => {
    const dead = flatChip('Dead', [0])
    const { machines } = compareChips({ machines: [machine(low), machine(high)], tested: [machine(dead)] })
    expect(machines[0]!.score).toBeNull()
  })

  test('are two or more, and of one kind of score', () => {
    const refused = (chips: readonly Chip[]) => () =>
      compareChips({ machines: chips.map((chip) => machine(chip)) })
    expect(refused([low])).toThrow(
      expect.objectContaining({
        code: 'machines-too-few',
        message: 'expected two or more machines, got 1',
        details: { remedy: 'Name a second test sheet or chip model.' },
      }),
    )
    for (const workload of [
      { name: 'sort', score: 'marks', better: 'higher' },
      { name: 'sort', score: 'points', better: 'lower' },
    ] as const) {
      expect(refused([low, high, flatChip('Other', [1], { workload })])).toThrow(
        expect.objectContaining({
          code: 'scores-not-comparable',
          message: `expected the same kind of score of all machines, got Low in points (higher is better) and Other in ${workload.score} (${workload.better} is better)`,
        }),
      )
    }
    // Another name of the work is the business of whoever compares.
    const renamed = flatChip('Other', [1], { workload: { ...low.workload, name: 'sort it' } })
    expect(refused([low, renamed])).not.toThrow()
  })

  test('are asked about powers above 0, near to what was measured', () => {
    const code = (atW: readonly number[]) => {
      try {
        compareChips({ machines: [machine(low), machine(high)], atW })
        return null
      } catch (error) {
        return (error as { readonly code: string }).code
      }
    }
    expect([[0], [-5], [Number.NaN], [801], [3.9], [4, 800]].map(code)).toEqual([
      'power-not-positive',
      'power-not-positive',
      'power-not-positive',
      'power-out-of-reach',
      'power-out-of-reach',
      null,
    ])
  })
})
