import { describe, expect, it } from 'vitest'
import type { ReviewedTest } from '../../../src/machine/review/fitReview.js'
import type { Chip } from '../../../src/physics/chip/chip.js'
import type { ReviewedPair } from '../../../src/predict/review/comparePair.js'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { powerLawChip } from '../fixtures.js'
import { reviewedMachine, reviewedTest } from './reviewFixture.js'

type Parts = Parameters<typeof reviewedTest>[0]
const pairOf = (a: Parts, b: Parts, atW?: number): ReviewedPair =>
  reviewMachines(
    [reviewedMachine('a', [reviewedTest(a)]), reviewedMachine('b', [reviewedTest(b)])],
    atW === undefined ? {} : { atW },
  ).results[0]!.pairs[0]!
const scaled = (factor: number, share = 1): Chip => ({
  ...powerLawChip({}, 0.5, 0),
  draws: powerLawChip({}, 0.5, 0).draws.map((draw, k, all) => ({
    ...draw,
    curve: {
      shape: 'power-law',
      scale: k < share * all.length ? (100 * factor) / 60 ** 0.5 : 0,
      exponent: 0.5,
    } as const,
  })),
})

describe('two chips at equal power', () => {
  it('are as far apart as their curves are, and the better one is ahead for sure', () => {
    const ahead = pairOf({ chip: scaled(1.2) }, { chip: scaled(1) })
    expect(ahead.atEqualPower!.value).toBeCloseTo(1.2, 9)
    expect(ahead.probabilityFirstAhead).toBe(1)
    expect(pairOf({ chip: scaled(1) }, { chip: scaled(1.2) }).probabilityFirstAhead).toBe(0)
    expect(pairOf({ chip: scaled(1) }, { chip: scaled(1) }).probabilityFirstAhead).toBe(0.5)
  })

  it('are compared by the draws in which both do work, unless those are less than nine in ten', () => {
    // 38 and 36 of 41 draws.
    const most = pairOf({ chip: scaled(1.2, 0.92) }, { chip: scaled(1) })
    expect(most.atEqualPower!.value).toBeCloseTo(1.2, 9)
    expect(most.atEqualPower!.low).toBeCloseTo(1.2, 9)
    expect(pairOf({ chip: scaled(1.2, 0.86) }, { chip: scaled(1) }).atEqualPower).toBeNull()
  })

  it('are not compared where no power is known, or one has no curve', () => {
    const bare = { powerW: null, chip: null }
    expect(pairOf(bare, bare)).toMatchObject({ atEqualPower: null, probabilityFirstAhead: null, parts: null })
    expect(pairOf({}, bare, 60)).toMatchObject({ atEqualPower: null, probabilityFirstAhead: null })
    expect(pairOf(bare, {}, 60)).toMatchObject({ atEqualPower: null, probabilityFirstAhead: null })
  })
})

describe('whether power explains any of a difference', () => {
  const explained = (
    exponent: number,
    spread: number,
    watts = 120,
    heldBy: ReviewedTest['heldBy'] = 'heat',
  ) => {
    const chip = powerLawChip({}, exponent, spread)
    const pair = pairOf({ chip, powerW: watts, heldBy }, { chip, powerW: 60, heldBy })
    return [pair.powerExplains, pair.parts!.find(({ name }) => name === 'power')!.percent] as const
  }

  it('is nothing where its part is within a per cent, whichever machine has more', () => {
    // Twice the watts at an elasticity of at most 0.012: 0.8 %.
    expect(explained(0.01, 0.002)[0]).toBe('nothing')
    expect(explained(0.01, 0.002, 30)[0]).toBe('nothing')
  })

  it('is something where its part is surely above or below nothing', () => {
    for (const watts of [120, 30]) {
      const [verdict, { low, high }] = explained(0.05, 0.02, watts)
      expect(low * high).toBeGreaterThan(0)
      expect(verdict).toBe('something')
    }
  })

  it('is unclear where its part may be nothing, and may be more than a per cent', () => {
    for (const watts of [120, 30]) {
      for (const [exponent, spread] of [
        [0.01, 0.03],
        [0.05, 0.2],
      ] as const) {
        const [verdict, { low, high }] = explained(exponent, spread, watts)
        expect(low).toBeLessThan(0)
        expect(high).toBeGreaterThan(0)
        expect(verdict).toBe('unclear')
      }
    }
  })
})
