import { describe, expect, it } from 'vitest'
import { estimateFromDraws, estimateFromStandardError } from '../../src/numeric/estimate.js'
import { mean } from '../../src/numeric/moments.js'
import { quantile, weightedQuantiles } from '../../src/numeric/quantile.js'
import { seededRandom } from '../../src/numeric/random.js'

describe('quantiles of values', () => {
  it('lie between order statistics as Hyndman and Fan type 7 says', () => {
    // Example of R's quantile(c(15, 20, 35, 40, 50), c(.25, .4)), type 7, worked by hand.
    expect(quantile([40, 15, 50, 20, 35], 0.25)).toBe(20)
    expect(quantile([40, 15, 50, 20, 35], 0.4)).toBeCloseTo(29, 12)
  })

  it('with weights put a value of weight 2 where two equal values would be', () => {
    const [doubled] = weightedQuantiles([1, 5, 9], [1, 2, 1], [0.5])
    expect(doubled).toBe(5)
    expect(weightedQuantiles([3, 1, 2], [0, 1, 1], [1])[0]).toBe(2)
  })

  it('with equal weights are Hyndman and Fan type 5, whatever the order, and end at the outermost values', () => {
    // Type 5 by hand: position n p + 1/2 among 15, 20, 35, 40, 50.
    const shares = [0, 0.05, 0.25, 0.4, 0.5, 0.95, 1]
    const found = weightedQuantiles([40, 15, 50, 20, 35], [2, 2, 2, 2, 2], shares)
    ;[15, 15, 18.75, 27.5, 35, 50, 50].forEach((value, i) => {
      expect(found[i]).toBeCloseTo(value, 12)
    })
  })

  const refusal = (code: string, message: string) =>
    expect.objectContaining({ code, message: expect.stringContaining(message) })

  it('refuse an empty list', () => {
    const empty = refusal('values-empty', 'At least one value')
    expect(() => quantile([], 0.5)).toThrow(empty)
    expect(() => weightedQuantiles([], [], [0.5])).toThrow(empty)
  })

  it.each([-0.1, 1.2, Number.NaN])('refuse a share of %d', (share) => {
    const outside = refusal('share-out-of-range', `got ${share}`)
    expect(() => quantile([1], share)).toThrow(outside)
    expect(() => weightedQuantiles([1], [1], [0.5, share])).toThrow(outside)
  })

  it.each([
    [[0, 0], 'got 2 with sum 0'],
    [[1, -1], 'got 2'],
    [[3, -1], 'got 2'],
    [[-1, 3], 'got 2'],
    [[1, Number.POSITIVE_INFINITY], 'got 2'],
    [[1, Number.NaN], 'got 2'],
    [[1], 'got 1'],
    [[1, 1, 1], 'got 3'],
  ])('refuse the weights %j for two values', (weights, got) => {
    const unusable = refusal('weights-unusable', `2 weights were needed, none negative and not all 0, ${got}`)
    expect(() => weightedQuantiles([1, 2], weights, [0.5])).toThrow(unusable)
  })
})

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

  it('refuse a negative standard error and an impossible level', () => {
    const figure = { value: 1, standardError: -1, degreesOfFreedom: 3 }
    expect(() => estimateFromStandardError(figure)).toThrow('standard error')
    expect(() => estimateFromDraws({ values: [1], level: 1 })).toThrow('level')
  })
})
