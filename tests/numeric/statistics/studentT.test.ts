import { assert as assertProperty, double, property } from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { normalQuantile, normalScore } from '../../../src/numeric/statistics/normalQuantile.js'
import { studentTProbability, studentTQuantile } from '../../../src/numeric/statistics/studentT.js'
import { normalTable, studentTable } from '../../certified/quantileTables.js'

describe('quantiles', () => {
  it('the normal quantile agrees with the handbook to all printed digits', () => {
    for (const [probability, z] of normalTable) expect(normalQuantile(probability)).toBeCloseTo(z, 14)
  })

  // Check values printed with AS 241, Wichura (1988), from memory.
  it('the normal quantile has the values that its algorithm is checked by, far into the tail', () => {
    expect(normalQuantile(0.25)).toBeCloseTo(-0.6744897501960817, 14)
    expect(normalQuantile(1e-3)).toBeCloseTo(-3.090232306167814, 13)
    expect(normalQuantile(1e-20)).toBeCloseTo(-9.26234008979841, 13)
  })

  it('the score of a share is its quantile, of none and of all that of a billionth off', () => {
    expect(normalScore(0.3)).toBe(normalQuantile(0.3))
    expect(normalScore(0)).toBe(normalQuantile(1e-9))
    expect(normalScore(1)).toBeCloseTo(-normalScore(0), 6)
  })

  it("Student's t agrees with the handbook to all printed digits", () => {
    for (const [degrees, ...row] of studentTable) {
      for (const [k, probability] of [0.95, 0.975, 0.995].entries()) {
        expect(Math.abs(studentTQuantile(probability, degrees) - row[k]!)).toBeLessThan(5.1e-7)
      }
    }
  })

  it("Student's t turns into the normal distribution as its degrees of freedom grow", () => {
    expect(studentTQuantile(0.95, Number.POSITIVE_INFINITY)).toBe(normalQuantile(0.95))
    expect(studentTQuantile(0.95, 1e12)).toBeCloseTo(normalQuantile(0.95), 11)
  })

  it('probability and quantile undo each other, for whole and broken degrees of freedom', () => {
    const probabilities = double({ min: 1e-6, max: 1 - 1e-6, noNaN: true })
    const degrees = double({ min: 0.5, max: 9_000, noNaN: true })
    assertProperty(
      property(probabilities, degrees, (probability, v) => {
        const there = studentTProbability(studentTQuantile(probability, v), v)
        expect(Math.abs(there - probability)).toBeLessThan(1e-10)
      }),
    )
  })

  it("Student's t of many degrees of freedom has its probability, and is its own mirror image", () => {
    for (const v of [9_999, 10_001, 20_000, 1e6]) {
      for (const probability of [1e-4, 0.01, 0.2, 0.5]) {
        const t = studentTQuantile(probability, v)
        // What cancels in the logarithms of large gamma functions grows with the degrees of freedom.
        expect(Math.abs(studentTProbability(t, v) / probability - 1)).toBeLessThan(2e-15 * v)
        expect(studentTQuantile(1 - probability, v)).toBeCloseTo(-t, 11)
      }
    }
  })

  // P = 1/2 + atan(t) / pi and 1/2 + t / (2 sqrt(2 + t²)).
  it("Student's t of one and two degrees of freedom has its closed forms, and those beside them nearly", () => {
    for (const t of [-40, -3, -0.2, 0, 0.7, 25]) {
      const [one, two] = [0.5 + Math.atan(t) / Math.PI, 0.5 + t / (2 * Math.sqrt(2 + t * t))]
      expect(studentTProbability(t, 1)).toBeCloseTo(one, 13)
      expect(studentTProbability(t, 2)).toBeCloseTo(two, 13)
      for (const v of [1, 1 + 1e-9]) expect(studentTQuantile(one, v)).toBeCloseTo(t, 6)
      for (const v of [2, 2 - 1e-9]) expect(studentTQuantile(two, v)).toBeCloseTo(t, 6)
    }
  })

  it('refuses probabilities of 0 and 1 and no degrees of freedom', () => {
    expect(() => normalQuantile(0)).toThrow(InputError)
    expect(() => normalQuantile(1)).toThrow(/strictly between 0 and 1, got 1/)
    expect(() => studentTQuantile(1, 3)).toThrow(InputError)
    const refused = expect.objectContaining({
      code: 'degrees-of-freedom-not-positive',
      message: 'expected degrees of freedom above 0, got 0',
    })
    expect(() => studentTQuantile(0.9, 0)).toThrow(refused)
    expect(() => studentTProbability(0.9, 0)).toThrow(refused)
  })
})
