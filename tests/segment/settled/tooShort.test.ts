import { describe, expect, it } from 'vitest'
import { lowestAfterFall, tooShort } from '../../../src/segment/settled/tooShort.js'
import { draftsOf } from '../makeRun.js'

const level = { value: 80, low: 79, high: 82, level: 0.9 }
const drafts = (...powers: readonly number[]) =>
  draftsOf(
    powers.map(() => 'level'),
    { parts: powers.map((levelW) => [{ samples: 10, levelW }]) },
  )
/** Below it lie 10 % of a normal law's values (any table). */
const Z_10 = 1.2815516
/** Log-logistic law of tooShort.ts: seconds after which this share of the drops is still to come. */
const whenLeft = (share: number) => 40 * (1 / share - 1) ** (2 / 3)

describe('a level that ends too soon', () => {
  // Ratios, errors and probabilities: the constants of tooShort.ts (common practice, no source). Where a drop is as probable as none, the low end
  // is undercut by a tenth of the drops.
  it.each([
    ['a first level may be a burst', drafts(80), whenLeft(3 / 7), 0.75, 0.17],
    ['a later one may drop once more', drafts(100, 80), whenLeft(2 / 3), 0.8, 0.12],
    ['after a step up by less than 2 % as well', drafts(78.5, 80), whenLeft(2 / 3), 0.8, 0.12],
  ] as const)('%s', (_, stages, lengthS, ratio, error) => {
    const { value, low, high } = tooShort(stages, level, { lengthS, wellBelow: false })
    expect(value).toBeCloseTo(80 * (0.5 + 0.5 * ratio), 9)
    expect(low).toBeCloseTo(79 * (ratio - Z_10 * error), 4)
    expect(high).toBeCloseTo(82 * 1.03, 9)
  })

  it('is the surer to stay the longer it was watched', () => {
    const lows = [0, 30, 60, 120, 300, 600].map(
      (lengthS) => tooShort(drafts(80), level, { lengthS, wellBelow: false }).low,
    )
    expect(lows).toEqual([...lows].sort((a, b) => a - b))
    expect(new Set(lows).size).toBe(6)
    // Seven of ten drop at the very start: the low end is undercut by a fourteenth of them, 1.465 errors below the middle.
    expect(lows[0]).toBeCloseTo(79 * (0.75 - 1.465234 * 0.17), 4)
    // Nearly sure: only what the level itself may be off by is left, and the mean drop.
    const late = tooShort(drafts(80), level, { lengthS: 4000, wellBelow: false })
    expect(late.low).toBeCloseTo(late.value - 1, 1)
    expect(late.value).toBeGreaterThan(79.9)
  })

  it('stays where the machine is seen to hold more: four of five times, whatever its length', () => {
    const watched = { lengthS: 0, wellBelow: true }
    const { value, low } = tooShort(drafts(80), level, watched)
    expect(value).toBeCloseTo(80 * (1 - 0.2 * 0.25), 9)
    // A quarter of the drops: 0.67449 errors below the middle.
    expect(low).toBeCloseTo(79 * (0.75 - 0.6744898 * 0.17), 4)
  })
})

it('power that has just stepped up stays, or goes back to the least of what it was', () => {
  const watched = { lengthS: 20, wellBelow: false }
  expect(tooShort(drafts(60, 70, 80), level, watched)).toEqual({ ...level, low: 60 })
  expect(tooShort(drafts(78.3, 80), { ...level, low: 75 }, watched)).toEqual({ ...level, low: 75 })
})

it('a fall is followed by another drop in three of ten cases, and the less the longer it was watched', () => {
  // A sixth of the drops: 0.967422 errors below the middle.
  expect(lowestAfterFall(0)).toBeCloseTo(0.8 - 0.12 * 0.967422, 5)
  expect(lowestAfterFall(60)).toBeGreaterThan(lowestAfterFall(30))
  expect(lowestAfterFall(600)).toBe(1)
})

it('power that fell and came back is told by its mean since it first fell, and what it was seen at', () => {
  const watched = { lengthS: 20, wellBelow: false }
  // Ten samples of 70, 90 and 80 W, 9 s each, after a first level that it does not come back to.
  const { value, low, high } = tooShort(drafts(120, 70, 90, 80), level, watched)
  expect(value).toBeCloseTo((70 * 9 + 90 * 9 + 80 * 9) / 27, 0)
  expect([low, high]).toEqual([70, 90])
  expect(tooShort(drafts(90, 80, 90, 80), level, watched)).toMatchObject({ low: 79, high: 90 })
  // Less than 2 % is no return.
  expect(tooShort(drafts(90, 79, 80), level, watched).high).toBeCloseTo(82 * 1.03, 9)
})
