import { expect, it } from 'vitest'
import { tooShort } from '../../../src/segment/settled/tooShort.js'
import { draftsOf } from '../makeRun.js'

const level = { value: 80, low: 79, high: 82, level: 0.9 }
const drafts = (...powers: readonly number[]) =>
  draftsOf(
    powers.map(() => 'level'),
    { parts: powers.map((levelW) => [{ samples: 10, levelW }]) },
  )
const Z = 1.644854

// Ratios and their standard errors: the constants of tooShort.ts (common practice, no source).
it.each([
  ['a first level may be a burst', drafts(80), null, 0.75, 0.17],
  ['a later one may drop once more', drafts(100, 80), null, 0.8, 0.12],
  ['also one that a limit is proven to hold', drafts(100, 80), 'power-limit', 0.8, 0.12],
  ['what the task asks for stays', drafts(80), 'demand', 0.95, 0.12],
  ['after a step up by less than 2 % as well', drafts(78.5, 80), null, 0.8, 0.12],
] as const)('%s', (_, stages, proven, ratio, error) => {
  const { value, low, high } = tooShort(stages, level, proven)
  expect(value).toBeCloseTo(80 * ratio, 9)
  expect(low).toBeCloseTo(79 * (ratio - Z * error), 4)
  expect(high).toBeCloseTo(82 * (ratio + Z * error), 4)
})

it('power that has just stepped up stays, or goes back to the least of what it was', () => {
  expect(tooShort(drafts(60, 70, 80), level, null)).toEqual({ ...level, low: 60 })
  expect(tooShort(drafts(78.3, 80), { ...level, low: 75 }, 'demand')).toEqual({ ...level, low: 75 })
})
