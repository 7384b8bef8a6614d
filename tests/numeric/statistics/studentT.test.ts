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

  it('refuses probabilities of 0 and 1 and no degrees of freedom', () => {
    expect(() => normalQuantile(0)).toThrow(InputError)
    expect(() => normalQuantile(1)).toThrow(/strictly between 0 and 1, got 1/)
    expect(() => studentTQuantile(1, 3)).toThrow(InputError)
    expect(() => studentTQuantile(0.9, 0)).toThrow(InputError)
  })
})
