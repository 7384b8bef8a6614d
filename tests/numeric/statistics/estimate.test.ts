import { describe, expect, it } from 'vitest'
import {
  atLeastZero,
  ESTIMATE_EDGE,
  estimateFromDraws,
  estimateFromLogError,
  estimateFromStandardError,
} from '../../../src/numeric/statistics/estimate.js'
import { mean } from '../../../src/numeric/statistics/moments.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

describe('estimates', () => {
  it('from draws of four summed inputs reproduce the published coverage intervals', () => {
    // JCGM 101:2008, 9.2: sums of four normal or four rectangular inputs of standard deviation 1, 95 %: ±3.92, ±3.88.
    const random = seededRandom(31)
    const rectangular = (): number => (random.uniform() - 0.5) * Math.sqrt(12)
    const sums = (draw: () => number): readonly number[] =>
      Array.from({ length: 200_000 }, () => draw() + draw() + draw() + draw())
    const normal = estimateFromDraws({ values: sums(random.normal), level: 0.95 })
    const flat = estimateFromDraws({ values: sums(rectangular), level: 0.95 })
    expect(Math.abs(normal.high - 3.92)).toBeLessThan(0.04)
    expect(Math.abs(normal.low + 3.92)).toBeLessThan(0.04)
    expect(Math.abs(flat.high - 3.88)).toBeLessThan(0.04)
    expect(Math.abs(flat.low + 3.88)).toBeLessThan(0.04)
  })

  it('from a standard error reach as far as the published end-gauge example', () => {
    // JCGM 100:2008, H.1: u = 32 nm, 16 effective degrees of freedom, 99 %: 93 nm.
    const gauge = estimateFromStandardError({
      value: 838,
      standardError: 32,
      degreesOfFreedom: 16,
      level: 0.99,
    })
    expect(Math.round(gauge.high - gauge.value)).toBe(93)
  })

  it('from draws of correlated inputs reproduce the published uncertainties of a resistance and a reactance', () => {
    // JCGM 100:2008, H.2, Tables H.2 and H.4: R 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236) ohm.
    const volts = [5.007, 4.994, 5.005, 4.99, 4.999]
    const amperes = [19.663e-3, 19.639e-3, 19.64e-3, 19.685e-3, 19.678e-3]
    const phases = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
    const inputs = [volts, amperes, phases]
    const centres = inputs.map((values) => mean(values)!)
    // A draw of the means: the five simultaneous deviations, each with its own normal weight, keep all correlations.
    const random = seededRandom(32)
    const draws = Array.from({ length: 100_000 }, () => {
      const weights = volts.map(() => random.normal() / Math.sqrt(20))
      return inputs.map((values, k) =>
        values.reduce((sum, value, i) => sum + weights[i]! * (value - centres[k]!), centres[k]!),
      )
    })
    const published = [
      { of: ([v, i, phase]: number[]) => (v! / i!) * Math.cos(phase!), value: 127.732, uncertainty: 0.071 },
      { of: ([v, i, phase]: number[]) => (v! / i!) * Math.sin(phase!), value: 219.847, uncertainty: 0.295 },
      { of: ([v, i]: number[]) => v! / i!, value: 254.26, uncertainty: 0.236 },
    ]
    for (const { of, value, uncertainty } of published) {
      const { value: median, low, high } = estimateFromDraws({ values: draws.map(of), level: 0.95 })
      expect(Math.abs(median - value)).toBeLessThan(0.005)
      expect(Math.abs((high - low) / (2 * 1.96) / uncertainty - 1)).toBeLessThan(0.02)
    }
  })

  it('cover the mean of five normal values in 90 % of cases, which a normal or bootstrap interval does not', () => {
    const random = seededRandom(33)
    let held = 0
    const trials = 20_000
    for (let trial = 0; trial < trials; trial++) {
      const values = Array.from({ length: 5 }, () => random.normal())
      const centre = values.reduce((sum, v) => sum + v, 0) / 5
      const variance = values.reduce((sum, v) => sum + (v - centre) ** 2, 0) / 4
      const { low, high } = estimateFromStandardError({
        value: centre,
        standardError: Math.sqrt(variance / 5),
        degreesOfFreedom: 4,
      })
      if (low < 0 && high > 0) held++
    }
    expect(Math.abs(held / trials - 0.9)).toBeLessThan(5 * Math.sqrt((0.9 * 0.1) / trials))
  })

  it('from a few draws are their quantiles, weighted or not, at 90 % unless told', () => {
    expect(estimateFromDraws({ values: [1, 2, 3], level: 0.5 })).toEqual({
      value: 2,
      low: 1.5,
      high: 2.5,
      level: 0.5,
    })
    const values = Array.from({ length: 101 }, (_, i) => i)
    const { low, high, level } = estimateFromDraws({ values })
    expect([low, high, level]).toEqual([expect.closeTo(5, 9), expect.closeTo(95, 9), 0.9])
    expect(estimateFromDraws({ values: [1, 2, 3], weights: [0, 1, 0] })).toMatchObject({ low: 2, high: 2 })
  })

  it('reach as far as tables of Student and of the normal distribution say', () => {
    // Abramowitz and Stegun, tables 26.10 and 26.1: 1.833 at 9 degrees of freedom, 1.645; from memory.
    const { value, low, high, level } = estimateFromStandardError({
      value: 40,
      standardError: 1,
      degreesOfFreedom: 9,
    })
    expect([value, level]).toEqual([40, 0.9])
    expect(low).toBeCloseTo(38.167, 3)
    expect(high).toBeCloseTo(41.833, 3)
    expect(ESTIMATE_EDGE).toBeCloseTo(1.645, 3)
    const figure = estimateFromLogError(100, 0.1)
    expect(figure).toMatchObject({ value: 100, level: 0.9 })
    expect(figure.high).toBeCloseTo(100 * Math.exp(0.1645), 1)
    expect(figure.low).toBeCloseTo(100 * Math.exp(-0.1645), 1)
    expect(estimateFromStandardError({ value: 1, standardError: 0, degreesOfFreedom: 3 }).high).toBe(1)
  })

  it('of what cannot be below zero lose what lies there, and keep their level', () => {
    expect(atLeastZero({ value: -1, low: -2, high: 3, level: 0.8 })).toEqual({
      value: 0,
      low: 0,
      high: 3,
      level: 0.8,
    })
    expect(atLeastZero({ value: -2, low: -3, high: -1, level: 0.9 }).high).toBe(0)
    const above = { value: 2, low: 1, high: 3, level: 0.9 }
    expect(atLeastZero(above)).toEqual(above)
  })

  it('refuse a negative standard error and an impossible level', () => {
    const figure = { value: 1, standardError: -1, degreesOfFreedom: 3 }
    const coded = (code: string) => expect.objectContaining({ code })
    expect(() => estimateFromStandardError(figure)).toThrow(coded('standard-error-negative'))
    expect(() => estimateFromStandardError(figure)).toThrow('expected a standard error of 0 or more, got -1')
    for (const level of [0, 1, Number.NaN])
      expect(() => estimateFromDraws({ values: [1], level })).toThrow(coded('level-out-of-range'))
    expect(() => estimateFromDraws({ values: [1], level: 1 })).toThrow('strictly between 0 and 1, got 1')
  })
})
