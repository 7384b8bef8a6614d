import { array, assert as assertProperty, constantFrom, double, integer, property, record } from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { findChangePoints } from '../../../src/numeric/changePoints/findChangePoints.js'
import { optimalPartition } from '../../../src/numeric/changePoints/optimalPartition.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** Least cost over all cuts, by trying every last segment for every end: the definition, with no pruning. */
function bruteForce(
  values: readonly number[],
  penalty: number,
  minLength: number,
  cost: (segment: readonly number[]) => number,
): number {
  const best = [-penalty]
  for (let end = 1; end <= values.length; end++) {
    best[end] = Number.POSITIVE_INFINITY
    for (let start = 0; start + minLength <= end; start++) {
      best[end] = Math.min(best[end]!, best[start]! + penalty + cost(values.slice(start, end)))
    }
  }
  return best[values.length]!
}

function squares(segment: readonly number[]): number {
  const mean = segment.reduce((sum, value) => sum + value, 0) / segment.length
  return segment.reduce((sum, value) => sum + (value - mean) ** 2, 0)
}

/** Bounded loss about the best level: between two neighbouring break points of the loss, that is a mean of those within reach. */
function boundedSquares(limit: number): (segment: readonly number[]) => number {
  const reach = Math.sqrt(limit)
  const lossAt = (segment: readonly number[], level: number): number =>
    segment.reduce((sum, value) => sum + Math.min((value - level) ** 2, limit), 0)
  return (segment) => {
    const breaks = segment.flatMap((value) => [value - reach, value + reach]).sort((a, b) => a - b)
    const levels = breaks.slice(1).flatMap((right, k) => {
      const middle = (breaks[k]! + right) / 2
      const near = segment.filter((value) => Math.abs(value - middle) < reach)
      return near.length > 0 ? [near.reduce((sum, value) => sum + value, 0) / near.length] : []
    })
    return Math.min(...levels.map((level) => lossAt(segment, level)), segment.length * limit)
  }
}

const series = array(integer({ min: -40, max: 40 }), { minLength: 1, maxLength: 24 }).map((tenths) =>
  tenths.map((value) => value / 10),
)

describe('the cut', () => {
  it('costs exactly what brute-force dynamic programming finds, for any penalty and shortest length', () => {
    const cases = record({
      values: series,
      penalty: double({ min: 0, max: 30, noNaN: true }),
      minLength: integer({ min: 1, max: 6 }),
    })
    assertProperty(
      property(cases, ({ values, penalty, minLength }) => {
        const shortest = Math.min(minLength, values.length)
        const { edges, residualSumOfSquares } = findChangePoints(values, { penalty, minLength })
        const least = bruteForce(values, penalty, shortest, squares)
        expect(Math.abs(residualSumOfSquares + penalty * edges.length - least)).toBeLessThan(
          1e-9 * (1 + least),
        )
        const lengths = [...edges, values.length].map((end, k) => end - (edges[k - 1] ?? 0))
        expect(Math.min(...lengths)).toBeGreaterThanOrEqual(shortest)
      }),
      { numRuns: 1000 },
    )
  })

  it('is exact where many cuts tie, where values jump by a million deviations, and on a high level', () => {
    const kinds = record({
      level: constantFrom(0, 1e6, -1e9),
      values: array(constantFrom(0, 0, 1, 2, 3, 1e6), { minLength: 1, maxLength: 40 }),
      penalty: constantFrom(0, 0.25, 1, 2, 7.3),
      minLength: integer({ min: 1, max: 4 }),
    })
    assertProperty(
      property(kinds, ({ level, values, penalty, minLength }) => {
        const lifted = values.map((value) => level + value)
        const least = bruteForce(lifted, penalty, Math.min(minLength, values.length), squares)
        const { edges, residualSumOfSquares } = findChangePoints(lifted, { penalty, minLength })
        const cost = residualSumOfSquares + penalty * edges.length
        // Rounding of the values' own squares about their mean, as the definition has it too.
        expect(cost - least).toBeLessThan(1e-12 * (1 + squares(lifted)))
      }),
      { numRuns: 1000 },
    )
  })

  it('is exact under the bounded loss too', () => {
    const cases = record({
      values: series,
      penalty: double({ min: 0.1, max: 20, noNaN: true }),
      minLength: integer({ min: 1, max: 4 }),
      lossLimit: constantFrom(0.3, 1, 4),
    })
    assertProperty(
      property(cases, ({ values, penalty, minLength, lossLimit }) => {
        const shortest = Math.min(minLength, values.length)
        const { edges } = optimalPartition(Float64Array.from(values), { penalty, minLength, lossLimit })
        const cost = boundedSquares(lossLimit)
        const own = [...edges, values.length].map((end, k) => cost(values.slice(edges[k - 1] ?? 0, end)))
        const total = own.reduce((sum, value) => sum + value, 0) + penalty * edges.length
        const least = bruteForce(values, penalty, shortest, cost)
        expect(Math.abs(total - least)).toBeLessThan(1e-9 * (1 + least))
      }),
      { numRuns: 500 },
    )
  })

  it('does not depend on the level of the series: a million on top moves no edge', () => {
    const random = seededRandom(4)
    const values = Array.from({ length: 400 }, (_, i) => (i < 130 ? 0 : i < 300 ? 3 : 1) + random.normal())
    const { edges, penalty } = findChangePoints(values)
    const lifted = findChangePoints(
      values.map((value) => value + 1e6),
      { penalty },
    )
    expect(lifted.edges).toEqual(edges)
  })

  it('finds twenty changes among a million values', () => {
    const random = seededRandom(1)
    const count = 1_000_000
    const truth = Array.from({ length: 20 }, (_, k) => Math.round(((k + 1) * count) / 21))
    const values = Float64Array.from({ length: count }, (_, i) => {
      const level = truth.filter((edge) => edge <= i).length % 2
      return 2 * level + random.normal()
    })
    const { edges } = findChangePoints(values, { penalty: 40 })
    expect(edges).toHaveLength(20)
    for (const [k, edge] of edges.entries()) expect(Math.abs(edge - truth[k]!)).toBeLessThan(20)
  })
})

describe('the penalty from the noise', () => {
  const autoregressive = (correlation: number, length: number, seed: number): Float64Array => {
    const random = seededRandom(seed)
    let value = random.normal()
    return Float64Array.from({ length }, () => {
      value = correlation * value + Math.sqrt(1 - correlation ** 2) * random.normal()
      return value
    })
  }

  for (const correlation of [0, 0.3, 0.6]) {
    it(`shows an edge in fewer than 1 % of 700 series of pure noise with correlation ${correlation}`, () => {
      let shown = 0
      for (let trial = 0; trial < 700; trial++) {
        const length = [40, 100, 250, 500][trial % 4]!
        if (findChangePoints(autoregressive(correlation, length, trial)).edges.length > 0) shown++
      }
      expect(shown).toBeLessThan(7)
    })
  }

  it('adds no edges to three true steps in autocorrelated noise, in 95 % of series', () => {
    let exact = 0
    for (let trial = 0; trial < 100; trial++) {
      const noise = autoregressive(0.5, 800, 90_000 + trial)
      const values = noise.map((value, i) => value + 6 * [0, 1, 0.4, 1.2][Math.floor(i / 200)]!)
      if (findChangePoints(values).edges.length === 3) exact++
    }
    expect(exact).toBeGreaterThanOrEqual(95)
  })

  it('finds the steps of a series without noise and none in a constant one', () => {
    const steps = Array.from({ length: 120 }, (_, i) => [5, 9, 2][Math.floor(i / 40)]!)
    expect(findChangePoints(steps).edges).toEqual([40, 80])
    expect(findChangePoints([7, 7, 7, 7]).edges).toEqual([])
    expect(findChangePoints([3]).edges).toEqual([])
  })

  it('takes the flicker of a rounded series between two neighbouring values for noise', () => {
    const flicker = Array.from({ length: 200 }, (_, i) => (i % 41 === 7 ? 44.2 : 44.1))
    expect(findChangePoints(flicker).edges).toEqual([])
  })

  it('ignores spikes under the biweight loss and still finds the step between them', () => {
    const random = seededRandom(12)
    const values = Array.from(
      { length: 300 },
      (_, i) => (i < 170 ? 0 : 4) + random.normal() + (i % 37 === 5 ? 40 : 0),
    )
    expect(findChangePoints(values, { loss: 'biweight' }).edges).toHaveLength(1)
    expect(findChangePoints(values).edges.length).toBeGreaterThan(1)
  })
})

describe('bad input', () => {
  it('is refused: no values, missing values, negative penalties and broken lengths', () => {
    expect(() => findChangePoints([])).toThrow(InputError)
    expect(() => findChangePoints([1, Number.NaN])).toThrow('NaN at index 1')
    expect(() => findChangePoints([1, 2], { penalty: -1 })).toThrow('penalty')
    expect(() => findChangePoints([1, 2], { minLength: 1.5 })).toThrow('shortest length')
  })
})
