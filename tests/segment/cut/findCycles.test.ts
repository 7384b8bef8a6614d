import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { findCycles } from '../../../src/segment/cut/findCycles.js'
import type { Series } from '../../../src/segment/cut/fitPiece.js'
import { withoutSwing } from '../../../src/segment/cut/withoutSwing.js'

/** Levels in W and how many samples each lasts, one a second. */
function seriesOf(levels: readonly (readonly [powerW: number, samples: number])[], everyS = 1): Series {
  const powerW = Float64Array.from(levels.flatMap(([watts, samples]) => Array(samples).fill(watts)))
  return {
    timesS: powerW.map((_, i) => (i + 1) * everyS),
    powerW,
    weights: new Uint8Array(powerW.length).fill(1),
    averaged: true,
    closes: true,
  }
}

const times = (count: number, ...levels: (readonly [number, number])[]) =>
  Array.from({ length: count }, () => levels).flat()

describe('power that swings between two levels', () => {
  it('is found with its cycles, from the first fall on', () => {
    const cycles = findCycles(seriesOf([[60, 100], ...times(5, [30, 8], [60, 12])]))
    expect(cycles).toEqual({
      edges: [100, 120, 140, 160, 180],
      turns: [108, 128, 148, 168],
      opensHigh: false,
      lowW: 30,
      highW: 60,
      beginsLate: true,
    })
  })

  it('is a swing where it begins late, has many cycles, or visits another level briefly', () => {
    const swing = (first: number, count: number, high = 12) =>
      findCycles(seriesOf([[60, first], ...times(count, [30, 8], [60, high])])) !== null
    expect(swing(27, 4)).toBe(true)
    expect(swing(12, 4)).toBe(false)
    expect(swing(12, 7)).toBe(true)
    expect(swing(80, 4, 80)).toBe(true)
  })

  it('begins late after a long phase at one of its levels, not after a burst', () => {
    const late = (...opening: (readonly [number, number])[]) =>
      findCycles(seriesOf([...opening, ...times(8, [30, 8], [60, 12])]))?.beginsLate
    expect(late([60, 100])).toBe(true)
    expect(late([100, 30], [60, 12])).toBe(false)
    expect(late([100, 30], [60, 100])).toBe(true)
    expect(late([60, 12])).toBe(false)
  })

  it('is none with fewer than three cycles, of unlike phases, or after which power stays at one level', () => {
    expect(findCycles(seriesOf([[60, 100], ...times(3, [30, 8], [60, 12])]))).toBeNull()
    expect(findCycles(seriesOf([[60, 100], ...times(4, [30, 8], [60, 12])]))).not.toBeNull()
    expect(findCycles(seriesOf([[60, 100], ...times(4, [30, 8], [60, 12]), [60, 90]]))).toBeNull()
    const unlike = [8, 25, 7, 30, 9].flatMap((samples) => [[30, samples] as const, [60, 12] as const])
    expect(findCycles(seriesOf([[60, 100], ...unlike]))).toBeNull()
    const levels = [30, 45, 30, 44, 31].flatMap((watts) => [[watts, 8] as const, [60, 12] as const])
    expect(findCycles(seriesOf([[60, 100], ...levels]))).toBeNull()
  })

  it('is none of levels within 8 % of each other', () => {
    const swing = (low: number) => findCycles(seriesOf([[60, 100], ...times(6, [low, 8], [60, 12])]))
    expect(swing(55)).not.toBeNull()
    expect(swing(55.5)).toBeNull()
  })

  it('is noise to a log that shows a cycle by fewer than four samples', () => {
    expect(findCycles(seriesOf([[60, 50], ...times(20, [30, 1], [60, 2])]))).toBeNull()
    expect(findCycles(seriesOf([[60, 50], ...times(20, [30, 2], [60, 2])]))).not.toBeNull()
  })

  it('of phases of one to three samples is one of means, after a long phase, 24 phases or more', () => {
    const fast = (first: number, count: number, averaged = true) =>
      findCycles({ ...seriesOf([[60, first], ...times(count, [30, 2], [60, 2])]), averaged })
    // The first of the long phase's kind is no phase, and the last is broken off.
    expect(fast(16, 13)).not.toBeNull()
    expect(fast(16, 12)).toBeNull()
    expect(fast(15, 13)).toBeNull()
    expect(fast(50, 20, false)).toBeNull()
    expect(
      findCycles({ ...seriesOf([[60, 50], ...times(20, [30, 4], [60, 4])]), averaged: false }),
    ).not.toBeNull()
  })

  it('goes on over a sample that is set aside, and over one beside the middle', () => {
    const swing = [[60, 100], ...times(6, [30, 8], [60, 12])] as const
    const struck = seriesOf(swing)
    struck.powerW[133] = 20
    struck.weights[133] = 0
    expect(findCycles(struck)?.edges).toEqual(findCycles(seriesOf(swing))?.edges)
    // 3 W below the middle, where 4.5 W are asked for.
    const near = seriesOf(swing)
    for (const i of [113, 133, 153, 173]) near.powerW[i] = 42
    expect(findCycles(near)?.edges).toEqual(findCycles(seriesOf(swing))?.edges)
  })

  it('stands out of what scatters about the level that lasts longer, by eight deviations', () => {
    // By so much, one way or the other, in two of three samples: 1.48 times that is the deviation, as a median says it.
    const scattered = (at: number, low: number, high: number, by: number) => {
      const series = seriesOf([[60, 100], ...times(6, [40, low], [60, high])])
      return findCycles({
        ...series,
        powerW: series.powerW.map((watts, i) => (watts === at ? watts + by * ((i % 3) - 1) : watts)),
      })
    }
    expect(scattered(60, 8, 12, 1.8)).toBeNull()
    expect(scattered(60, 8, 12, 1.6)).not.toBeNull()
    expect(scattered(40, 8, 12, 2)).not.toBeNull()
    expect(scattered(40, 30, 8, 2)).toBeNull()
  })

  it('has phases within a quarter of the swing of their level', () => {
    const odd = (low: number, high: number) =>
      findCycles(
        seriesOf([
          [60, 100],
          ...times(3, [30, 8], [60, 12]),
          [low, 8],
          [high, 12],
          ...times(3, [30, 8], [60, 12]),
        ]),
      )?.edges.length
    expect(odd(30, 60)).toBe(7)
    expect(odd(37, 53)).toBe(7)
    // The cycles after it alone are too few to begin at once.
    expect(odd(38, 60)).toBeUndefined()
    expect(odd(30, 52)).toBeUndefined()
    expect(odd(22, 60)).toBeUndefined()
  })

  it('has phases that last at most twice as long as the next ones, and two samples', () => {
    const first = (samples: number) =>
      findCycles(seriesOf([[60, 100], [30, samples], [60, 12], ...times(6, [30, 8], [60, 12])]))?.edges[0]
    expect(first(18)).toBe(100)
    expect(first(19)).toBe(119)
    const broken = (samples: number) =>
      findCycles(seriesOf([[60, 100], ...times(6, [30, 8], [60, 12]), [30, samples]]))
    expect(broken(18)).not.toBeNull()
    expect(broken(19)).toBeNull()
  })

  it('is none where power is even', () => {
    expect(findCycles(seriesOf([[60, 100]]))).toBeNull()
    expect(findCycles(seriesOf([[60, 1]]))).toBeNull()
  })

  it('is none in noise alone', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), fc.constantFrom(2, 10, 30), (seed, deviation) => {
        const random = seededRandom(seed)
        const values = Array.from({ length: 300 }, () => [100 + deviation * random.normal(), 1] as const)
        expect(findCycles(seriesOf(values))).toBeNull()
      }),
      { numRuns: 300 },
    )
  })
})

describe('the course of the means of cycles', () => {
  const levels = [[60, 100], ...times(6, [30, 8], [60, 12])] as const
  const series = seriesOf(levels)

  it('is their time-mean throughout, and what was before stays', () => {
    const averaged = withoutSwing(series)
    expect([...averaged.powerW.subarray(0, 100)].every((watts) => watts === 60)).toBe(true)
    for (const watts of averaged.powerW.subarray(100)) expect(watts).toBeCloseTo((30 * 8 + 60 * 12) / 20, 9)
  })

  it('leaves out samples set aside beyond both levels, and counts those between, which may be phases', () => {
    const at = (watts: number, place = 133, weight = 0) => {
      const one = seriesOf(levels)
      one.powerW[place] = watts
      one.weights[place] = weight
      // In the middle of its cycle, where the course is that cycle's mean.
      return withoutSwing(one).powerW[129]!
    }
    expect(at(200)).toBeCloseTo((30 * 8 + 60 * 11) / 19, 9)
    expect(at(1)).toBeCloseTo((30 * 8 + 60 * 11) / 19, 9)
    expect(at(67)).toBeCloseTo((30 * 8 + 60 * 11 + 67) / 20, 9)
    expect(at(25, 123)).toBeCloseTo((30 * 7 + 25 + 60 * 12) / 20, 9)
    expect(at(80, 133, 1)).toBeCloseTo((30 * 8 + 60 * 11 + 80) / 20, 9)
  })

  it('weighs samples by their time where these are uneven', () => {
    const uneven = {
      ...series,
      timesS: series.timesS.map((timeS, i) => timeS + (i % 20 < 8 ? 0.1 * (i % 20) : 0.8)),
    }
    const means = withoutSwing(uneven).powerW
    expect(Math.abs(means[150]! - 48)).toBeLessThan(1.5)
    expect(means[150]).not.toBeCloseTo(48, 3)
  })

  it('falls in a straight line between the middles of cycles that get longer in their lower phase', () => {
    const falling = seriesOf([
      [60, 100],
      ...[8, 9, 10, 11, 12, 13].flatMap((low) => [[30, low] as const, [60, 12] as const]),
    ])
    const { powerW } = withoutSwing(falling)
    const steps = powerW
      .subarray(112, 200)
      .slice(1)
      .map((watts, k) => watts - powerW[112 + k]!)
    expect(steps.every((step) => step <= 1e-9 && step > -0.2)).toBe(true)
  })
})
