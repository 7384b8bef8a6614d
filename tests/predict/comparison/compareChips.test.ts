import { describe, expect, it } from 'vitest'
import type { Chip, Workload } from '../../../src/physics/chip/chip.js'
import { compareChips } from '../../../src/predict/comparison/compareChips.js'
import { roundPowers } from '../../../src/predict/comparison/roundPowers.js'

const points: Workload = { name: 'tile render', score: 'points', better: 'higher' }
const seconds: Workload = { name: 'compile', score: 's', better: 'lower' }

/** A chip known to within a few per cent: power laws whose scales are spread around `scale`. */
function chip(name: string, scale: number, exponent: number, options: Partial<Chip> = {}): Chip {
  const factors = Array.from({ length: 41 }, (_, i) => 1 + 0.001 * (i - 20))
  return {
    name,
    workload: points,
    measuredRangeW: [40, 100],
    draws: factors.map((factor) => ({
      weight: 1 / factors.length,
      curve: { shape: 'power-law', scale: scale * factor, exponent },
    })),
    demandW: null,
    workPerRun: null,
    ...options,
  }
}

const machine = (some: Chip, sustainedW: number | null = 60) => ({
  machine: `with ${some.name}`,
  chip: some,
  sustainedW,
})

describe('compareChips', () => {
  const kestrel = chip('Kestrel', 1000, 0.5)
  // Equal at 64 W: 1000 x 64^0.5 = 8000 = 500 x 64^(2/3).
  const plover = chip('Plover', 500, 2 / 3)

  it('gives the ratio of the first two at equal power, with the uncertainty of both', () => {
    const { at } = compareChips({ machines: [machine(kestrel), machine(plover)], atW: [40, 90] })
    expect(at[0]!.ratio.value).toBeCloseTo(2 * 40 ** (-1 / 6), 3)
    // Scales uniform within 2 % each: the ratio's 5 and 95 % points lie about 2.7 % off.
    expect(at[0]!.ratio.high / at[0]!.ratio.value).toBeCloseTo(1.027, 2)
    expect(at[0]!.probabilityFirstAhead).toBe(1)
    expect(at[1]!.probabilityFirstAhead).toBe(0)
    expect(at[0]!.scores[0]!.perWatt.value).toBeCloseTo(1000 * 40 ** -0.5, 1)
  })

  it('finds the power at which two chips cross, with an interval, and who is ahead below', () => {
    const { crossovers } = compareChips({ machines: [machine(kestrel), machine(plover)] })
    expect(crossovers).toHaveLength(1)
    const { between, powerW, aheadBelow, probability } = crossovers[0]!
    expect(between).toEqual(['Kestrel', 'Plover'])
    expect(Math.abs(powerW.value / 64 - 1)).toBeLessThan(0.02)
    expect(powerW.low).toBeLessThan(64)
    expect(powerW.high).toBeGreaterThan(64)
    expect(aheadBelow).toBe('Kestrel')
    expect(probability).toBeGreaterThan(0.95)
  })

  it('reports no crossover where one chip is ahead throughout', () => {
    expect(
      compareChips({ machines: [machine(kestrel), machine(chip('Rail', 1500, 0.5))] }).crossovers,
    ).toEqual([])
  })

  it('turns the ratio over when the machines change places', () => {
    const forth = compareChips({ machines: [machine(kestrel), machine(plover)], atW: [50] }).at[0]!
    const back = compareChips({ machines: [machine(plover), machine(kestrel)], atW: [50] }).at[0]!
    expect(forth.ratio.value * back.ratio.value).toBeCloseTo(1, 3)
    expect(forth.ratio.low * back.ratio.high).toBeCloseTo(1, 2)
    expect(forth.probabilityFirstAhead + back.probabilityFirstAhead).toBeCloseTo(1, 10)
  })

  it('finds a chip level with itself, exactly', () => {
    const { at, crossovers } = compareChips({ machines: [machine(kestrel), machine(kestrel, 80)], atW: [50] })
    expect(at[0]!.ratio).toMatchObject({ value: 1, low: 1, high: 1 })
    expect(at[0]!.probabilityFirstAhead).toBeCloseTo(0.5, 10)
    expect(crossovers).toEqual([])
  })

  it('counts the shorter time as ahead while the ratio stays one of times', () => {
    const slow = chip('Slow', 0.001, 0.5, { workload: seconds })
    const fast = chip('Fast', 0.002, 0.5, { workload: seconds })
    const { at } = compareChips({ machines: [machine(slow), machine(fast)], atW: [50] })
    expect(at[0]!.ratio.value).toBeCloseTo(2, 2)
    expect(at[0]!.probabilityFirstAhead).toBe(0)
    expect(at[0]!.ranking.map((entry) => entry.chip)).toEqual(['Fast', 'Slow'])
    // Runs per watt-hour: 3600 s / (time x power).
    const { score, perWatt } = at[0]!.scores[1]!
    expect(perWatt.value).toBeCloseTo(3600 / (score.value * 50), 3)
  })

  it('ranks many machines at equal power, the best first', () => {
    const rail = chip('Rail', 1500, 0.5)
    const { at } = compareChips({ machines: [kestrel, rail, plover].map((some) => machine(some)), atW: [50] })
    expect(at[0]!.ranking.map((entry) => entry.chip)).toEqual(['Rail', 'Kestrel', 'Plover'])
    expect(at[0]!.ranking[0]!.probabilityBest).toBe(1)
  })

  it('marks powers that a chip was not measured at', () => {
    const narrow = chip('Narrow', 1000, 0.5, { measuredRangeW: [50, 70] })
    const { at, warnings } = compareChips({ machines: [machine(kestrel), machine(narrow)], atW: [60, 90] })
    expect(at.map((entry) => entry.extrapolated)).toEqual([[], ['Narrow']])
    expect(warnings).toEqual([{ code: 'extrapolated', measuredRangeW: [50, 70], powerW: 90 }])
  })

  it('is sure of the one that is ahead in every draw in which both chips do work', () => {
    const draws = plover.draws.map((draw, k) =>
      k % 4 === 0 ? { ...draw, curve: { shape: 'power-law', scale: 0, exponent: 0.5 } as const } : draw,
    )
    const idle = chip('Idle', 500, 2 / 3, { draws })
    const first = (machines: readonly Chip[]) =>
      compareChips({ machines: machines.map((some) => machine(some)), atW: [40] }).at[0]!
        .probabilityFirstAhead
    expect(first([kestrel, plover])).toBe(1)
    expect(first([kestrel, idle])).toBe(1)
    expect(first([idle, kestrel])).toBe(0)
    expect(first([idle, { ...idle, name: 'Idle too' }])).toBeCloseTo(0.5, 1)
  })

  it('scores each machine at its own settled power', () => {
    const { machines } = compareChips({ machines: [machine(kestrel, 64), machine(plover, null)] })
    expect(machines[0]!.score!.value).toBeCloseTo(8000, 0)
    expect(machines[1]!.score).toBeNull()
  })

  it('refuses one machine alone, scores of two kinds, and a power of 0', () => {
    expect(() => compareChips({ machines: [machine(kestrel)] })).toThrow('two or more machines')
    const timed = chip('Timed', 0.001, 0.5, { workload: seconds })
    expect(() => compareChips({ machines: [machine(kestrel), machine(timed)] })).toThrow('same kind of score')
    expect(() => compareChips({ machines: [machine(kestrel), machine(plover)], atW: [0] })).toThrow(
      'above 0 W',
    )
  })
})

describe('roundPowers', () => {
  it('gives round watts across the shared range', () => {
    expect(
      roundPowers([
        [44, 96],
        [52, 110],
      ]),
    ).toEqual([60, 70, 80, 90])
  })

  it('bridges ranges that share nothing, and gives one power for a point', () => {
    expect(
      roundPowers([
        [30, 40],
        [60, 90],
      ]),
    ).toEqual([40, 45, 50, 55, 60])
    expect(
      roundPowers([
        [50.2, 50.4],
        [50.1, 50.6],
      ]),
    ).toEqual([50])
  })
})
