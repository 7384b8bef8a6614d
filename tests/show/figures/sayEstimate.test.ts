import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { groupDigits, NO_BREAK, supportedDecimals } from '../../../src/show/figures/digits.js'
import { sayEstimate, sayInterval, sayNumber } from '../../../src/show/figures/sayEstimate.js'

const plain = (text: string) => text.replaceAll(NO_BREAK, ' ')
const estimate = (value: number, half: number) => ({
  value,
  low: value - half,
  high: value + half,
  level: 0.9,
})

describe('sayEstimate', () => {
  it('shows as many digits as the interval supports', () => {
    expect(plain(sayEstimate(estimate(44.213, 0.28), 'W'))).toBe('44.2 W (43.9 to 44.5)')
    expect(plain(sayEstimate(estimate(15432, 350), 'points'))).toBe('15 400 points (15 000 to 15 800)')
    expect(plain(sayEstimate(estimate(0.5128, 0.021)))).toBe('0.51 (0.49 to 0.54)')
  })

  it('shows a figure without an interval as finely as its kind may be told', () => {
    expect(plain(sayEstimate(estimate(16.2153, 0), 'W'))).toBe('16.2 W')
    expect(plain(sayEstimate(estimate(71, 0), 'W'))).toBe('71 W')
    expect(plain(sayEstimate(estimate(0.5, 0)))).toBe('0.5')
  })

  // JCGM 100:2008 7.2.6 and H.1: a value of 50.000838 mm with an expanded uncertainty of 93 nm is quoted to the nanometre.
  it('quotes the end gauge of the GUM (H.1) to the nanometre', () => {
    expect(plain(sayEstimate(estimate(50_000_838, 93), 'nm'))).toBe(
      '50 000 840 nm (50 000 740 to 50 000 940)',
    )
  })

  it('never prints an interval narrower than the computed one, and keeps the value inside it', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.double({ min: 1e-4, max: 1e5, noNaN: true }),
        (value, half) => {
          const given = estimate(value, half)
          const [low, high] = sayInterval(given)
            .replaceAll(NO_BREAK, '')
            .replaceAll('−', '-')
            .split('to')
            .map(Number)
          const slack = half * 1e-6
          expect(low!).toBeLessThanOrEqual(given.low + slack)
          expect(high!).toBeGreaterThanOrEqual(given.high - slack)
          expect(high! - low!).toBeLessThanOrEqual(2 * half + 2.001 * 10 ** -supportedDecimals(given) + slack)
        },
      ),
    )
  })

  it('shows a figure without spread as it was given, without an interval', () => {
    expect(plain(sayEstimate(estimate(71, 0), 'W'))).toBe('71 W')
    expect(plain(sayEstimate(estimate(0.1 + 0.2, 0)))).toBe('0.3')
  })

  it('groups thousands from five digits on and writes a true minus sign', () => {
    expect(plain(groupDigits(1234, 0))).toBe('1234')
    expect(plain(groupDigits(-1234567.8, 0))).toBe('−1 234 568')
    expect(groupDigits(-0.0001, 1)).toBe('0.0')
    expect(plain(sayNumber(71.26, 3, 'W'))).toBe('71.3 W')
  })

  it('prints what rounding leaves of a zero as 0, without an interval', () => {
    expect(
      sayEstimate({ value: -3e-15, low: -4e-15, high: 1e-14, level: 0.9 }, '%').replaceAll('\u00a0', ' '),
    ).toBe('0 %')
  })
})

it('a difference in per cent that is sure of its sign has no bound of zero', () => {
  const said = (value: number, low: number, high: number, unit = '%') =>
    sayEstimate({ value, low, high, level: 0.9 }, unit).replaceAll('\u00a0', ' ')
  expect(said(-7, -13, -0.66)).toBe('−7 % (−13 to −0.6)')
  expect(said(2, 0.34, 4.2)).toMatch(/\(0\.3 to /)
  expect(said(-7, -13, 0.66)).toBe('−7 % (−13 to 1)')
  expect(said(5, 0.3, 9, 'W')).toMatch(/\(0 to 9\)/)
})
