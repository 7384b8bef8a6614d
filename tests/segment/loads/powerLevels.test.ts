import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { medianOfThree } from '../../../src/segment/loads/medianOfThree.js'
import { findPowerLevels } from '../../../src/segment/loads/powerLevels.js'
import { stepNoise } from '../../../src/segment/loads/stepNoise.js'
import { makeSteps, traceOf } from '../makeSteps.js'

const powers = (count: number, at: (i: number) => number) =>
  Float64Array.from({ length: count }, (_, i) => at(i))
const traceOfPowers = (powerW: Float64Array, everyS = 1) =>
  traceOf(
    powerW.map((_, i) => 100 + everyS * i),
    powerW,
  )

describe('the median of a sample and its neighbours', () => {
  it('is the middle one of three, in whatever order', () => {
    for (const three of [
      [1, 2, 3],
      [1, 3, 2],
      [2, 1, 3],
      [2, 3, 1],
      [3, 1, 2],
      [3, 2, 1],
    ])
      expect(medianOfThree(Float64Array.from(three), 1)).toBe(2)
  })

  it('is the sample itself at either end', () => {
    const values = Float64Array.of(9, 1, 5)
    expect([0, 2].map((i) => medianOfThree(values, i))).toEqual([9, 5])
  })
})

describe('noise by steps from sample to sample', () => {
  it('is the standard deviation of normal noise, however often power changes', () => {
    const random = seededRandom(4)
    const noisy = powers(8000, (i) => (i % 8 === 0 ? 10 : 80) + 2 * random.normal())
    // A quarter of the steps are edges: the median is that at two thirds of the others, 1.43 instead of 1.
    expect(stepNoise(noisy) / 2).toBeCloseTo(1.43, 1)
    expect(stepNoise(powers(8000, () => 80 + 2 * random.normal())) / 2).toBeCloseTo(1, 1)
  })

  it('is half of the way between alternating samples over 0.477, and nothing of one sample', () => {
    expect(stepNoise(Float64Array.of(10, 12))).toBeCloseTo(2 / 0.954, 12)
    expect(stepNoise(Float64Array.of(10, 12, 10))).toBeCloseTo(2 / 0.954, 12)
    expect(stepNoise(Float64Array.of(10))).toBe(0)
  })
})

describe('a log as levels', () => {
  it('has one for each step, from sample to sample', () => {
    const { levels, topW } = findPowerLevels(
      traceOfPowers(powers(100, (i) => (i < 30 ? 10 : i < 80 ? 90 : 40))),
    )
    expect(levels.map(({ from, to, levelW }) => [from, to, levelW])).toEqual([
      [0, 30, 10],
      [30, 80, 90],
      [80, 100, 40],
    ])
    // A sample speaks for the second before it; the first has none.
    expect(levels.map(({ lengthS }) => lengthS)).toEqual([29, 50, 20])
    expect(topW).toBe(90)
    expect(levels.map(({ usePct, clockHz }) => [usePct, clockHz])).toEqual(levels.map(() => [null, null]))
  })

  it('passes over lone spikes, and does not take their power for its top', () => {
    const { levels, topW } = findPowerLevels(
      traceOfPowers(powers(60, (i) => (i === 20 ? 900 : i < 30 ? 10 : 90))),
    )
    expect(levels.map(({ from, to }) => [from, to])).toEqual([
      [0, 30],
      [30, 60],
    ])
    expect(topW).toBe(90)
  })

  it('has the mean of what other columns say within each, of what they say at all', () => {
    const trace = {
      ...traceOfPowers(powers(60, (i) => (i < 30 ? 10 : 90))),
      usePct: powers(60, (i) => (i < 30 ? Number.NaN : i % 2 === 0 ? 90 : Number.NaN)),
      clockHz: powers(60, (i) => (i < 30 ? 1e9 : 3e9 + 1e6 * (i % 2))),
    }
    expect(findPowerLevels(trace).levels.map(({ usePct, clockHz }) => [usePct, clockHz])).toEqual([
      [null, 1e9],
      [90, 3.0005e9],
    ])
  })

  it('has no step below what its noise makes likely', () => {
    const noisy = findPowerLevels(
      makeSteps({
        levels: [
          [10, 300],
          [12, 300],
        ],
        noiseW: 3,
      }),
    )
    expect(noisy.noiseW / 3).toBeCloseTo(1, 0)
    expect(noisy.levels.length).toBeLessThanOrEqual(2)
    const plain = findPowerLevels(makeSteps({ levels: [[60, 300]], noiseW: 0.6 }))
    expect(plain.levels).toHaveLength(1)
    // No finer than 0.4 % of its top.
    expect(findPowerLevels(traceOfPowers(powers(60, (i) => 50 + 0.01 * (i % 2)))).noiseW).toBeCloseTo(0.2, 3)
  })

  it('may be of nothing but zeros, or of one sample', () => {
    expect(findPowerLevels(traceOfPowers(new Float64Array(20))).levels).toHaveLength(1)
    expect(findPowerLevels(traceOfPowers(Float64Array.of(7))).levels).toMatchObject([
      { from: 0, to: 1, levelW: 7 },
    ])
  })
})
