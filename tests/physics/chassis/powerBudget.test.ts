import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  averageAfter,
  averageAfterRelaxation,
  holdFromTimeConstant,
  runningAverage,
  timeConstantFromHold,
  timeToLimit,
} from '../../../src/physics/chassis/powerBudget.js'
import { evenDoubles } from '../../evenDoubles.js'

/**
 * Worked holds of an exponentially weighted average: burst, limit, average at the start, tau, hold; all recomputed from the formula.
 *
 * @source of the first three: "Thermal/Mechanical Specifications and Design Guidelines" of a family of desktop and server processors
 * (2013), section 6.4.4 "Turbo Time Parameter", page 61: "a maximum power turbo event of about 1.25 x TDP ... for up to approximately
 * 1.5 the Turbo Time Parameter"
 */
const HOLDS = [
  [1.25, 1, 0, 1, 1.609438],
  [1.25, 1, 0.1, 1, 1.526056],
  [1.25, 1, 0.2, 1, 1.435085],
  [2, 1, 0, 1, Math.LN2],
  [115, 65, 5, 28, 22.076806],
  [115, 65, 45, 28, 9.421223],
  [90, 45, 3, 56, 36.917755],
] as const

describe('hold of a burst', () => {
  test.each(HOLDS)(
    '%d against a limit of %d from %d with tau %d is held for %d',
    (burstW, limitW, idleW, tauS, holdS) => {
      expect(holdFromTimeConstant(tauS, { burstW, limitW, idleW })).toBeCloseTo(holdS, 5)
      expect(timeConstantFromHold(holdS, { burstW, limitW, idleW })).toBeCloseTo(tauS, 5)
    },
  )

  test('a burst at 1.25 times the limit is held for the "approximately 1.5" time constants of those guidelines', () => {
    const held = holdFromTimeConstant(1, { burstW: 1.25, limitW: 1, idleW: 0.1 })
    expect(Math.abs(held - 1.5)).toBeLessThan(0.05)
  })

  test.each([
    [{ burstW: 40, limitW: 45, idleW: 3 }, '3 W, 45 W, 40 W'],
    [{ burstW: 45, limitW: 45, idleW: 3 }, '3 W, 45 W, 45 W'],
    [{ burstW: 90, limitW: 3, idleW: 3 }, '3 W, 3 W, 90 W'],
  ])('powers out of order, or alike, are refused and named: %o', (step, named) => {
    const refusal = expect.objectContaining({
      code: 'powers-not-ordered',
      message: expect.stringContaining(named),
    })
    expect(() => timeConstantFromHold(10, step)).toThrow(refusal)
    expect(() => holdFromTimeConstant(10, step)).toThrow(refusal)
  })

  test.each([0, -1, Number.NaN])('a time of %d s is refused and named', (timeS) => {
    const step = { burstW: 90, limitW: 45, idleW: 3 }
    const refusal = (code: string) =>
      expect.objectContaining({ code, message: expect.stringContaining(`above 0 s, got ${timeS} s`) })
    expect(() => timeConstantFromHold(timeS, step)).toThrow(refusal('hold-not-positive'))
    expect(() => holdFromTimeConstant(timeS, step)).toThrow(refusal('time-constant-not-positive'))
  })
})

describe('running average', () => {
  test('it is at the limit exactly when the time to the limit is up', () => {
    fc.assert(
      fc.property(
        fc.record({
          a: evenDoubles(0, 40),
          tau: fc.double({ min: 0.5, max: 900, noNaN: true }),
        }),
        ({ a, tau }) => {
          const waitS = timeToLimit(a, { powerW: 100, limitW: 60, tauS: tau })
          expect(averageAfter(a, { powerW: 100, forS: waitS, tauS: tau })).toBeCloseTo(60, 8)
        },
      ),
    )
  })

  test('a power at or below the limit never reaches it', () => {
    expect(timeToLimit(10, { powerW: 60, limitW: 60, tauS: 9 })).toBe(Number.POSITIVE_INFINITY)
    expect(timeToLimit(10, { powerW: 50, limitW: 60, tauS: 9 })).toBe(Number.POSITIVE_INFINITY)
  })

  test.each([60, 70])('an average of %d against a limit of 60 is there already', (averageW) => {
    expect(timeToLimit(averageW, { powerW: 90, limitW: 60, tauS: 9 })).toBe(0)
  })

  test('each interval ends at the average that its own stretch leads to', () => {
    const record = { lengthsS: [3, 5, 1], powersW: [73, 20, 90], startW: 6 }
    const [first, second, third] = runningAverage(record, 17)
    expect(first).toBeCloseTo(averageAfter(6, { powerW: 73, forS: 3, tauS: 17 }), 10)
    expect(second).toBeCloseTo(averageAfter(first!, { powerW: 20, forS: 5, tauS: 17 }), 10)
    expect(third).toBeCloseTo(averageAfter(second!, { powerW: 90, forS: 1, tauS: 17 }), 10)
  })

  test('one interval or many of the same power give the same average', () => {
    const lengthsS = Array.from({ length: 30 }, (_, i) => 0.1 + 0.05 * i)
    const totalS = lengthsS.reduce((a, b) => a + b, 0)
    const stepped = runningAverage({ lengthsS, powersW: lengthsS.map(() => 73), startW: 6 }, 17).at(-1)!
    expect(stepped).toBeCloseTo(averageAfter(6, { powerW: 73, forS: totalS, tauS: 17 }), 10)
  })

  test.each([0.7, 8.9999999, 9, 30])(
    'power that relaxes with %d s is averaged as by a thousand small steps',
    (responseS) => {
      const stretch = { fromW: 120, towardW: 70, responseS, forS: 12, tauS: 9 }
      const stepS = 12 / 4000
      let averageW = 20
      for (let i = 0; i < 4000; i++) {
        const powerW = 70 + 50 * Math.exp(-((i + 0.5) * stepS) / responseS)
        averageW = averageAfter(averageW, { powerW, forS: stepS, tauS: 9 })
      }
      expect(averageAfterRelaxation(20, stretch)).toBeCloseTo(averageW, 5)
    },
  )
})
