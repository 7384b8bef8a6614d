import { describe, expect, test } from 'vitest'
import type { TestedMachine } from '../../../src/machine/testedMachine.js'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { overviewMachines } from '../../../src/predict/overview/overviewMachines.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const exact = (value: number) => about(value, 1e-9)

/** Held at one power from the first second on. */
function tested(name: string, watts: number, chip: Chip): TestedMachine {
  const chassis = oneBudget({ burstW: exact(watts), sustainedW: exact(watts), budgets: [], burstHoldS: null })
  return {
    ...({
      machine: name,
      tests: [{ sheet: { machine: name }, trials: [], warnings: [] }],
      loop: { runs: 3, gapS: 0 },
      scatter: about(0.004),
      testWarnings: [[]],
      asTested: { firstScore: null, steadyScore: null },
      runs: [],
    } as unknown as TestedMachine),
    chip,
    chassis,
  }
}

// Scores of 100 (W / 60)^0.5, 120 (W / 60)^0.5 and 100 W / 60.
const ROOT = powerLawChip({}, 0.5, 0)
const BETTER = powerLawChip({
  name: 'Merlin 12',
  draws: [{ weight: 1, curve: { shape: 'power-law', scale: 120 / 60 ** 0.5, exponent: 0.5 } }],
})
const COMPILE = { name: 'compile', score: 'points', better: 'higher' } as const
const heron = tested('Heron 14', 60, ROOT)
const ibis = tested('Ibis 15', 60, BETTER)

describe('an overview', () => {
  test('of one machine has its curve and sweep, and nothing to compare', () => {
    const { machines, curves, sweeps, equalPower, gaps } = overviewMachines([heron])
    expect(machines).toEqual([heron])
    expect(curves).toHaveLength(1)
    // Measured from 50 to 70 W, and a fifth beyond.
    expect(curves[0]!.points[0]!.powerW).toBeCloseTo(50 / 1.2, 9)
    expect(curves[0]!.points.at(-1)!.powerW).toBeCloseTo(84, 9)
    expect(sweeps[0]!.find(({ sustainedW }) => sustainedW === 70)!.steady.score.value).toBeCloseTo(
      100 * (7 / 6) ** 0.5,
      4,
    )
    expect([equalPower, gaps]).toEqual([null, []])
  })

  test('of two chips has them at equal power, and how far the first is ahead along it', () => {
    const { equalPower, gaps } = overviewMachines([ibis, heron])
    expect(equalPower!.comparison.machines).toMatchObject([
      { machine: 'Ibis 15', chip: 'Merlin 12', sustainedW: 60, sustained: exact(60), steadyScore: null },
      { machine: 'Heron 14', chip: 'Kestrel 16', sustainedW: 60 },
    ])
    expect(equalPower!.chips.map(({ position }) => position)).toEqual([0, 1])
    expect(equalPower!.chips[1]!.curve.points.at(-1)!.score.value).toBeCloseTo(100 * (84 / 60) ** 0.5, 4)
    const { lead } = equalPower!
    expect(lead).toHaveLength(20)
    expect(lead[0]!.powerW).toBeCloseTo(50 / 1.2, 9)
    expect(lead.at(-1)!.powerW).toBeCloseTo(84, 9)
    for (const { percent } of lead) {
      expect(percent).toEqual({
        value: expect.closeTo(20, 6),
        low: expect.closeTo(20, 6),
        high: expect.closeTo(20, 6),
        level: 0.9,
      })
    }
    expect(gaps).toHaveLength(1)
    expect(gaps[0]).toMatchObject({ a: 'Ibis 15', b: 'Heron 14' })
    expect(gaps[0]!.ratio.value).toBeCloseTo(1.2, 4)
  })

  test('takes the powers of all tests for both chips, and what is not sure of the lead', () => {
    const wide = powerLawChip({ name: 'Merlin 12', measuredRangeW: [80, 100] }, 0.5, 0.1)
    const { equalPower } = overviewMachines([heron, tested('Ibis 15', 90, wide)])
    for (const { curve } of equalPower!.chips) {
      expect(curve.points[0]!.powerW).toBeCloseTo(50 / 1.2, 9)
      expect(curve.points.at(-1)!.powerW).toBeCloseTo(120, 9)
    }
    // At 120 W exponents of 0.4 to 0.6 are 2^-0.09 to 2^0.09 of the middle, nine times in ten.
    const { percent } = equalPower!.lead.at(-1)!
    expect(percent.value).toBeCloseTo(0, 0)
    expect(percent.low).toBeCloseTo(100 * (2 ** -0.09 - 1), 0)
    expect(percent.high).toBeCloseTo(100 * (2 ** 0.09 - 1), 0)
  })

  test('of three chips compares all, tells no lead, and sets the first against each other machine', () => {
    const wren = tested('Wren 13', 60, powerLawChip({ name: 'Dunlin 6' }, 1, 0))
    const { equalPower, gaps } = overviewMachines([heron, ibis, wren])
    expect(equalPower!.chips).toHaveLength(3)
    expect(equalPower!.lead).toEqual([])
    expect(gaps.map(({ a, b }) => [a, b])).toEqual([
      ['Heron 14', 'Ibis 15'],
      ['Heron 14', 'Wren 13'],
    ])
  })

  test('has each chip once, by the first machine that has it', () => {
    const again = tested('Crane 17', 90, ROOT)
    const same = overviewMachines([heron, again])
    expect(same.equalPower).toBeNull()
    expect(same.gaps).toHaveLength(1)
    const { chips } = overviewMachines([heron, again, ibis]).equalPower!
    expect(chips.map(({ position }) => position)).toEqual([0, 2])
  })

  test('compares nothing of machines that did different work', () => {
    const other = tested('Ibis 15', 60, { ...BETTER, workload: COMPILE })
    const { equalPower, gaps, curves } = overviewMachines([heron, other])
    expect([equalPower, gaps]).toEqual([null, []])
    expect(curves).toHaveLength(2)
    const third = tested('Wren 13', 60, powerLawChip({ name: 'Dunlin 6' }, 1, 0))
    const mixed = overviewMachines([heron, other, third])
    expect(mixed.equalPower).toBeNull()
    expect(mixed.gaps.map(({ b }) => b)).toEqual(['Wren 13'])
  })
})
