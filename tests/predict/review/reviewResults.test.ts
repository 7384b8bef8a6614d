import { describe, expect, it } from 'vitest'
import type { ReviewedMachine } from '../../../src/machine/review/fitReview.js'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { powerLawChip } from '../fixtures.js'
import { reviewedMachine, reviewedTest } from './reviewFixture.js'

type Parts = Parameters<typeof reviewedTest>[0]
const machine = (name: string, ...tests: readonly Parts[]): ReviewedMachine =>
  reviewedMachine(
    name,
    tests.map((test) => reviewedTest(test)),
  )
const resultOf = (tests: readonly Parts[], atW?: number) =>
  reviewMachines(
    tests.map((test, i) => machine(`m${i}`, test)),
    atW === undefined ? {} : { atW },
  ).results[0]!
const SURE = powerLawChip({}, 0.5, 0)

describe('what a machine scored', () => {
  it('is its mean with the scatter of its runs, and what power has to do with it', () => {
    const [one] = resultOf([{ chip: SURE, powerW: 60, scores: [101, 99, 100, 100] }]).machines
    expect(one).toMatchObject({
      machine: 'm0',
      chip: 'chip of m0',
      runs: 4,
      powerW: 60,
      heldBy: 'power-limit',
      elasticity: { value: 0.5 },
      dependsOnPower: 'yes',
    })
    expect(one!.score.value).toBeCloseTo(100, 9)
    // 1.645 x 0.4 % over the root of four runs to each side, a little more as the scatter itself is uncertain.
    expect(one!.score.low).toBeGreaterThan(99.5)
    expect(one!.score.low).toBeLessThan(99.7)
    expect(one!.score.high).toBeGreaterThan(100.3)
    expect(one!.score.high).toBeLessThan(100.5)
  })

  it('is around its own value for a time as well', () => {
    const workload = { name: 'encode', score: 's', better: 'lower' } as const
    const [one] = resultOf([{ workload, powerW: null, scores: [50, 50, 50] }]).machines
    expect(one!.score.value).toBeCloseTo(50, 9)
    expect(one!.score.low).toBeGreaterThan(49.5)
    expect(one!.score.low).toBeLessThan(50)
    expect(one!.score.high).toBeLessThan(50.5)
  })

  it('has nothing to do with a power that is not known', () => {
    const [bare, chipless] = resultOf([{ powerW: null }, { powerW: 60, chip: null }]).machines
    expect(bare).toMatchObject({ powerW: null, elasticity: null, dependsOnPower: null, atEqualPower: null })
    expect(chipless).toMatchObject({ powerW: 60, elasticity: null, dependsOnPower: null, atEqualPower: null })
  })
})

describe('the power of a comparison', () => {
  const powerOf = (...watts: readonly (number | null)[]) => resultOf(watts.map((powerW) => ({ powerW }))).atW

  it('is the geometric mean of what the machines held, to a watt from 10 W up and to two digits below', () => {
    expect(powerOf(45, 80)).toBe(60)
    expect(powerOf(20, 33)).toBe(26)
    expect(powerOf(10)).toBe(10)
    expect(powerOf(9.96)).toBe(10)
    expect(powerOf(4, 5)).toBe(4.5)
    expect(powerOf(0.123)).toBe(0.12)
  })

  it('leaves out what is not known, and is none where nothing is', () => {
    expect(powerOf(45, null)).toBe(45)
    expect(powerOf(null, null)).toBeNull()
  })

  it('is the one that is asked for', () => {
    expect(resultOf([{ powerW: 45 }, { powerW: 80 }], 75).atW).toBe(75)
    expect(resultOf([{ powerW: null }], 75)).toMatchObject({ atW: 75, machines: [{ atEqualPower: null }] })
  })
})

describe('a chip at the power of the comparison', () => {
  // Measured from 50 to 70 W, and a measured level is known to a per cent.
  it.each([
    [49, true],
    [49.6, false],
    [60, false],
    [70.6, false],
    [71, true],
  ])('at %d W is extrapolated: %s', (atW, extrapolated) => {
    const { atEqualPower } = resultOf([{ chip: SURE }], atW).machines[0]!
    expect(atEqualPower!.extrapolated).toBe(extrapolated)
    expect(atEqualPower!.score.value).toBeCloseTo(100 * Math.sqrt(atW / 60), 6)
    expect(atEqualPower!.perWatt.value).toBeCloseTo((100 * Math.sqrt(atW / 60)) / atW, 6)
  })

  it('is not told where it does no work there', () => {
    const dead = powerLawChip({
      draws: [{ weight: 1, curve: { shape: 'power-law', scale: 0, exponent: 0.5 } }],
    })
    const { elasticity, dependsOnPower, atEqualPower } = resultOf([{ chip: dead }]).machines[0]!
    expect([elasticity, dependsOnPower, atEqualPower]).toEqual([null, null, null])
  })
})

describe('results of several machines', () => {
  it('are matched by workload, mode and metric, however they are spelled', () => {
    const { results } = reviewMachines([
      machine('a', { task: 'Render', mode: 'Mains', metric: 'Points' }, { task: 'flight', mode: null }),
      machine('b', { task: 'render', mode: 'mains', metric: 'points' }, { task: 'flight', mode: null }),
    ])
    expect(results.map(({ workload, mode, machines }) => [workload, mode, machines.length])).toEqual([
      ['Render', 'Mains', 2],
      ['flight', null, 2],
    ])
  })

  it.each([
    [{ name: 'render', score: 'frames', better: 'higher' }, 'frames (higher is better)'],
    [{ name: 'render', score: 'points', better: 'lower' }, 'points (lower is better)'],
  ] as const)('are refused in another unit or direction: %j', (workload, said) => {
    const wrong = expect.objectContaining({
      code: 'metrics-differ',
      message: `expected render in points (higher is better) on every machine, got ${said}`,
      details: expect.objectContaining({ where: { file: 'b.yaml' } }),
    })
    expect(() => reviewMachines([machine('a', {}), machine('b', { workload })])).toThrow(wrong)
  })
})
