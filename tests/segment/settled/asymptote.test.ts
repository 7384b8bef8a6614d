import { describe, expect, it } from 'vitest'
import { type AsymptoteOptions, estimateAsymptote } from '../../../src/segment/settled/asymptote.js'
import type { Section } from '../../../src/segment/settled/fitShape.js'

const Z = 1.644854

function section(samples: number, powerAt: (sinceS: number) => number): Section {
  const sinceS = Float64Array.from({ length: samples }, (_, i) => i)
  return { sinceS, powerW: sinceS.map(powerAt), weights: new Uint8Array(samples).fill(1) }
}

const options: AsymptoteOptions = {
  noiseVariance: 0.01,
  correlationFactor: 1,
  shortestS: 2,
  longestS: 300,
  amplitudeW: 50,
  flatShare: 0,
  slowShares: [0],
}
const relaxing = (tauS: number) => section(100, (t) => 80 + 20 * Math.exp(-t / tauS))

describe('where relaxing power tends to', () => {
  it('is found, with its time constant, where samples show it', () => {
    const { towardW, tauS } = estimateAsymptote([relaxing(20)], { ...options, noiseVariance: 0.25 })
    expect(towardW.value).toBeCloseTo(80, 1)
    expect(towardW.low).toBeLessThan(80)
    expect(towardW.high).toBeGreaterThan(80)
    expect(towardW.high - towardW.low).toBeLessThan(0.6)
    expect(Math.abs(Math.log(tauS.value / 20))).toBeLessThan(0.03)
    // What one or two exponentials leave out: 8 %, at 1.645 standard errors.
    expect(Math.log(tauS.high / tauS.value)).toBeGreaterThanOrEqual(Z * 0.08 - 1e-6)
    expect(Math.log(tauS.high / tauS.value)).toBeLessThan(Z * 0.1)
    expect(Math.log(tauS.value / tauS.low)).toBeGreaterThanOrEqual(Z * 0.08 - 1e-6)
    expect(Math.log(tauS.value / tauS.low)).toBeLessThan(Z * 0.1)
    expect([towardW.level, tauS.level]).toEqual([0.9, 0.9])
  })

  it('is the same level for sections with amplitudes of their own', () => {
    const sections = [20, 10, -5].map((amplitudeW) => section(60, (t) => 80 + amplitudeW * Math.exp(-t / 20)))
    expect(estimateAsymptote(sections, options).towardW.value).toBeCloseTo(80, 1)
  })

  it('scales with the power, and moves with it', () => {
    const { towardW } = estimateAsymptote([relaxing(40)], options)
    const scaled = estimateAsymptote([section(100, (t) => 10 * (80 + 20 * Math.exp(-t / 40)))], {
      ...options,
      noiseVariance: 1,
      amplitudeW: 500,
    }).towardW
    expect(scaled.value).toBeCloseTo(10 * towardW.value, 6)
    expect(scaled.low).toBeCloseTo(10 * towardW.low, 6)
    expect(scaled.high).toBeCloseTo(10 * towardW.high, 6)
  })

  it('is known the less, the noisier and the shorter its course', () => {
    const width = (samples: readonly Section[], more: Partial<AsymptoteOptions> = {}) => {
      const { low, high } = estimateAsymptote(samples, { ...options, ...more }).towardW
      return high - low
    }
    const usual = width([relaxing(20)])
    expect(width([relaxing(20)], { noiseVariance: 0.04 })).toBeGreaterThan(1.5 * usual)
    expect(width([relaxing(20)], { correlationFactor: 4 })).toBeGreaterThan(1.5 * usual)
    expect(width([section(40, (t) => 80 + 20 * Math.exp(-t / 20))])).toBeGreaterThan(2 * usual)
  })

  it('lies within what is allowed', () => {
    const open = section(30, (t) => 80 + 20 * Math.exp(-t / 60))
    const within = (more: Partial<AsymptoteOptions>) =>
      estimateAsymptote([open], { ...options, noiseVariance: 1, ...more }).towardW
    const free = within({})
    expect(within({ leastW: free.value }).value).toBeGreaterThan(free.value)
    expect(within({ mostW: free.value }).value).toBeLessThan(free.value)
  })
})

describe('the time constant', () => {
  it('is told to a fraction of its grid, which has steps of 10 %', () => {
    // One on the grid from 2 s on, and one in the middle between two.
    for (const steps of [24, 24.5, 24.25]) {
      const trueS = 2 * 1.1 ** steps
      const { tauS } = estimateAsymptote([section(200, (t) => 80 + 20 * Math.exp(-t / trueS))], {
        ...options,
        noiseVariance: 1,
      })
      expect(Math.abs(Math.log(tauS.value / trueS))).toBeLessThan(0.03)
    }
  })

  it('is as open as the samples leave it', () => {
    const widths = (noiseVariance: number) => {
      const { tauS } = estimateAsymptote([relaxing(20)], { ...options, noiseVariance })
      return [Math.log(tauS.value / tauS.low), Math.log(tauS.high / tauS.value)] as const
    }
    const [low, high] = widths(4)
    for (const wide of [low, high]) expect(wide).toBeGreaterThan(1.2 * Z * 0.08)
    // Errors in squares beside the model's own: four times the variance, twice the width.
    const own = (width: number) => Math.sqrt(width ** 2 - (Z * 0.08) ** 2)
    const [wideLow, wideHigh] = widths(16)
    expect(own(wideLow) / own(low)).toBeGreaterThan(1.6)
    expect(own(wideHigh) / own(high)).toBeGreaterThan(1.6)
  })
})

describe('several courses that fit', () => {
  it('count by their misfit, prior and what the amplitude’s prior leaves them: a flat one, where nothing bends', () => {
    // Flat samples fit every time constant with an amplitude of next to nothing; the interval is hardly wider than that of a mean.
    const flat = section(100, () => 80)
    const { towardW } = estimateAsymptote([flat], { ...options, amplitudeW: 5, flatShare: 0.5 })
    expect((towardW.high - towardW.low) / (2 * Z * Math.hypot(0.01, 0.008))).toBeGreaterThan(0.95)
    expect((towardW.high - towardW.low) / (2 * Z * Math.hypot(0.01, 0.008))).toBeLessThan(1.3)
  })

  it('have a slow companion of 15 % or none, unless told otherwise', () => {
    const shape = (t: number) => (Math.exp(-t / 15) + 0.15 * Math.exp(-t / 60)) / 1.15
    const { slowShares: _, ...usual } = options
    const { towardW, tauS } = estimateAsymptote([section(200, (t) => 80 + 20 * shape(t))], {
      ...usual,
      noiseVariance: 0.25,
    })
    expect(towardW.value).toBeCloseTo(80, 1)
    expect(Math.abs(Math.log(tauS.value / 15))).toBeLessThan(0.04)
    const single = estimateAsymptote([relaxing(20)], { ...usual, noiseVariance: 0.25 })
    expect(single.towardW.value).toBeCloseTo(80, 1)
  })
})

describe('a level that does not relax', () => {
  const flat = section(100, () => 80)

  it('is the mean with the interval of a mean, and of the meter', () => {
    const { towardW } = estimateAsymptote([flat], { ...options, flatShare: 1 })
    // One part in 10,000 besides.
    const half = Z * Math.hypot(0.1 / Math.sqrt(100), 1e-4 * 80)
    expect(towardW.value).toBeCloseTo(80, 4)
    expect(towardW.high - 80).toBeCloseTo(half, 4)
    expect(80 - towardW.low).toBeCloseTo(half, 4)
    const wide = estimateAsymptote([flat], { ...options, flatShare: 1, unsteadyShare: 0.01 }).towardW
    expect(wide.high - 80).toBeCloseTo(Z * Math.hypot(0.01, 0.8), 3)
    const correlated = estimateAsymptote([flat], { ...options, flatShare: 1, correlationFactor: 9 }).towardW
    expect(correlated.high - 80).toBeCloseTo(Z * Math.hypot(0.03, 0.008), 4)
  })

  it('is known the less where means of its blocks scatter more than its samples say', () => {
    // Twelve blocks, 1 W above and below in turn: their squares, 12 × 9 samples, over 12 - 3 and the variance.
    const uneven = section(108, (t) => (Math.floor(t / 9) % 2 === 0 ? 81 : 79))
    const { towardW } = estimateAsymptote([uneven], { ...options, longestS: 1 })
    const factor = (12 * 9) / (12 - 3) / 0.01
    expect(towardW.high - towardW.value).toBeCloseTo(
      Z * Math.hypot(Math.sqrt((0.01 * factor) / 108), 0.008),
      2,
    )
  })

  it('is all that is left where no relaxation is allowed', () => {
    const { towardW, tauS } = estimateAsymptote([flat], { ...options, leastW: 1000 })
    expect(towardW.value).toBeCloseTo(80, 4)
    expect(tauS).toMatchObject({ value: 0, low: 0, high: 0 })
  })
})
