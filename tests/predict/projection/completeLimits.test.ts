import { describe, expect, test } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { completeLimits } from '../../../src/predict/projection/completeLimits.js'
import { about, oneBudget } from '../fixtures.js'

function codeOf(call: () => unknown): string {
  try {
    call()
  } catch (error) {
    if (error instanceof InputError) return error.code
  }
  return 'none'
}

describe('limits that a user leaves out', () => {
  test('without a tested chassis the power is flat', () => {
    const flat = { burstW: 71, burstForS: null, shortTermW: null, shortTermForS: null, sustainedW: 71 }
    expect(completeLimits({ sustainedW: 71 }, null)).toEqual(flat)
  })

  test('burst and short-term come from the test where they exceed the sustained power asked for', () => {
    const tested = oneBudget({ shortTermW: about(80), shortTermHoldS: about(90) })
    expect(completeLimits({ sustainedW: 71 }, tested)).toEqual({
      burstW: 100,
      burstForS: 20,
      shortTermW: 80,
      shortTermForS: 90,
      sustainedW: 71,
    })
    expect(completeLimits({ sustainedW: 85 }, tested).shortTermW).toBeNull()
    expect(completeLimits({ sustainedW: 120 }, tested).burstW).toBe(120)
  })

  test('a burst without a hold takes the tested one, or is refused', () => {
    expect(completeLimits({ sustainedW: 60, burstW: 90 }, oneBudget()).burstForS).toBe(20)
    expect(codeOf(() => completeLimits({ sustainedW: 60, burstW: 90 }, null))).toBe('hold-missing')
    const noHolds = oneBudget({ burstHoldS: null })
    for (const asked of [{ burstW: 90 }, { shortTermW: 90 }])
      expect(codeOf(() => completeLimits({ sustainedW: 60, ...asked }, noHolds))).toBe('hold-missing')
  })

  test('a burst asked for leaves the tested short-term power out, and the other way round', () => {
    const tested = oneBudget({ shortTermW: about(80), shortTermHoldS: about(90) })
    const asked = { burstW: 90, burstForS: 9, shortTermW: null, shortTermForS: null, sustainedW: 60 }
    expect(completeLimits({ sustainedW: 60, burstW: 90, burstForS: 9 }, tested)).toEqual(asked)
    expect(completeLimits({ sustainedW: 60, shortTermW: 75 }, tested)).toEqual({
      burstW: 75,
      burstForS: null,
      shortTermW: 75,
      shortTermForS: 90,
      sustainedW: 60,
    })
  })

  test('a power no higher than the next is no stage and needs no hold', () => {
    const flat = { burstForS: null, shortTermW: null, shortTermForS: null, sustainedW: 60 }
    expect(completeLimits({ sustainedW: 60, shortTermW: 60 }, null)).toEqual({ ...flat, burstW: 60 })
    expect(completeLimits({ sustainedW: 60, burstW: 60 }, null)).toEqual({ ...flat, burstW: 60 })
    const both = { sustainedW: 60, burstW: 75, shortTermW: 75, shortTermForS: 50 }
    expect(completeLimits(both, null)).toEqual({ ...both, burstForS: null })
  })

  test('a stage whose hold the test did not show is not kept', () => {
    const flat = { burstForS: null, shortTermW: null, shortTermForS: null, sustainedW: 71, burstW: 71 }
    expect(completeLimits({ sustainedW: 71 }, oneBudget({ burstHoldS: null }))).toEqual(flat)
    const noShortTerm = { ...flat, burstW: 100, burstForS: 20 }
    expect(completeLimits({ sustainedW: 71 }, oneBudget({ shortTermW: about(80) }))).toEqual(noShortTerm)
    expect(completeLimits({ sustainedW: 71 }, oneBudget({ shortTermHoldS: about(80) }))).toEqual(noShortTerm)
  })
})

describe('limits that can’t be', () => {
  test('are told with what was given and what to add', () => {
    const told = (asked: Parameters<typeof completeLimits>[0]) => {
      try {
        completeLimits(asked, null)
      } catch (error) {
        if (error instanceof InputError) return `${error.message}; ${error.details.remedy}`
      }
      return ''
    }
    expect(told({ sustainedW: 60, burstW: 90 })).toMatch(
      /how long the burst power is held.*; add --burst-for, for instance --burst-for 20s/,
    )
    expect(told({ sustainedW: 60, shortTermW: 70 })).toMatch(/the short-term power.*--short-term-for 20s/)
    expect(told({ sustainedW: 0 })).toMatch(/above 0 W, got 0 W/)
    expect(told({ sustainedW: 60, burstForS: -3 })).toMatch(/above 0 s, got -3 s/)
    expect(told({ sustainedW: 60, burstW: 50, burstForS: 9 })).toMatch(/got 50 W, 60 W/)
    expect(told({ sustainedW: 60, burstForS: 9 })).toMatch(/burst power for the burst hold.*; add --burst,/)
    expect(told({ sustainedW: 60, shortTermForS: 9 })).toMatch(/short-term power.*; add --short-term,/)
  })

  test.each([
    [{ sustainedW: -1 }, 'limits-not-positive'],
    [{ sustainedW: 60, burstW: Number.POSITIVE_INFINITY }, 'limits-not-positive'],
    [{ sustainedW: 60, shortTermW: 0 }, 'limits-not-positive'],
    [{ sustainedW: 60, burstW: 90, burstForS: 9, shortTermW: 70, shortTermForS: 0 }, 'hold-not-positive'],
    [{ sustainedW: 60, burstW: 90, burstForS: Number.POSITIVE_INFINITY }, 'hold-not-positive'],
    [{ sustainedW: 60, shortTermW: 50, shortTermForS: 9 }, 'limits-not-ordered'],
    [{ sustainedW: 60, burstW: 50, burstForS: 9 }, 'limits-not-ordered'],
    [{ sustainedW: 60, burstW: 90, burstForS: 9, shortTermW: 95, shortTermForS: 60 }, 'limits-not-ordered'],
    [{ sustainedW: 60, burstW: 90, burstForS: 0 }, 'hold-not-positive'],
    [{ sustainedW: 60, burstForS: 9 }, 'burst-missing'],
    [{ sustainedW: 60, shortTermForS: 9 }, 'short-term-missing'],
  ])('%j is refused as %s', (asked, code) => {
    expect(codeOf(() => completeLimits(asked, null))).toBe(code)
  })
})
