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
  })
})

describe('limits that can’t be', () => {
  test.each([
    [{ sustainedW: -1 }, 'limits-not-positive'],
    [{ sustainedW: 60, burstW: 50, burstForS: 9 }, 'limits-not-ordered'],
    [{ sustainedW: 60, burstW: 90, burstForS: 9, shortTermW: 95, shortTermForS: 60 }, 'limits-not-ordered'],
    [{ sustainedW: 60, burstW: 90, burstForS: 0 }, 'hold-not-positive'],
    [{ sustainedW: 60, burstForS: 9 }, 'burst-missing'],
    [{ sustainedW: 60, shortTermForS: 9 }, 'short-term-missing'],
  ])('%j is refused as %s', (asked, code) => {
    expect(codeOf(() => completeLimits(asked, null))).toBe(code)
  })
})
