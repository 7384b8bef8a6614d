import { describe, expect, it } from 'vitest'
import { changePenalty } from '../../../src/numeric/changePoints/changePenalty.js'
import { findChangePoints } from '../../../src/numeric/changePoints/findChangePoints.js'
import { roughNoise, startingNoise } from '../../../src/numeric/changePoints/startingNoise.js'
import { segmentMeans } from '../../../src/numeric/segmentMeans.js'
import { longRunVariance } from '../../../src/numeric/statistics/longRunVariance.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

/** Normal noise of deviation 1 with a lag-1 correlation, on levels. */
function noisy(length: number, levelAt: (i: number) => number, correlation = 0, seed = 7): Float64Array {
  const random = seededRandom(seed)
  let noise = random.normal()
  return Float64Array.from({ length }, (_, i) => {
    noise = correlation * noise + Math.sqrt(1 - correlation ** 2) * random.normal()
    return noise + levelAt(i)
  })
}
/** Jumps by `size` and back, at places that no block of eight begins at. */
const steps = (size: number, every: number) => (i: number) =>
  Math.floor((i + 3) / every) % 2 === 0 ? 0 : size
const exactCut = (series: Float64Array) => (penalty: number) => findChangePoints(series, { penalty })
const noiseOf = (series: Float64Array, robust = false) => startingNoise(series, robust, exactCut(series))

describe('noise of a series of which nothing is known yet', () => {
  it('is that about its mean where nothing changes', () => {
    for (const correlation of [0, 0.5]) {
      const series = noisy(500, () => 40, correlation)
      expect(noiseOf(series)).toEqual(longRunVariance(series, false))
    }
  })

  it('is that about its levels where it steps, white or not: s² (1 + p) / (1 - p)', () => {
    for (const [correlation, variance] of [
      [0, 1],
      [0.5, 3],
    ] as const) {
      const series = noisy(1200, steps(9, 100), correlation)
      expect(longRunVariance(series, false).variance).toBeGreaterThan(100)
      const noise = noiseOf(series)
      expect(Math.abs(Math.log(noise.variance / variance))).toBeLessThan(0.35)
      expect(Math.abs(noise.innovation - (1 - correlation ** 2))).toBeLessThan(0.15)
    }
  })

  it('counts no outlier where it is to be robust', () => {
    const series = noisy(600, steps(9, 100)).map((value, i) => value + (i % 53 === 9 ? 60 : 0))
    const noise = startingNoise(series, true, (penalty) => {
      const { edges } = findChangePoints(
        series.map((value) => Math.min(value, 14)),
        { penalty },
      )
      return {
        edges,
        levels: segmentMeans(
          series.map((value) => Math.min(value, 14)),
          edges,
        ),
      }
    })
    expect(noise.variance).toBeLessThan(2)
    expect(noise.scale).toBeLessThan(1.4)
  })

  it('is 0 where all values are equal, and nothing is cut', () => {
    const cutWith = () => {
      throw new Error('cut')
    }
    expect(startingNoise(new Float64Array(50).fill(3), false, cutWith).variance).toBe(0)
  })

  it('cuts with penalties that halve, from half the variance down to the noise that second differences show', () => {
    const series = noisy(300, steps(9, 100))
    const penalties: number[] = []
    startingNoise(series, false, (penalty) => {
      penalties.push(penalty)
      return findChangePoints(series, { penalty })
    })
    const { variance } = longRunVariance(series, false)
    expect(penalties.length).toBeGreaterThan(3)
    for (const [k, penalty] of penalties.entries())
      expect(penalty / changePenalty(300, variance / 2 ** (k + 1))).toBeCloseTo(1, 9)
    // White noise of 1: a fifth of it is no more looked at, three times it is.
    expect(penalties.at(-1)!).toBeLessThan(changePenalty(300, 3))
    expect(penalties.at(-1)!).toBeGreaterThan(changePenalty(300, 0.2))
  })

  it('takes no more edges than a quarter of its values', () => {
    const series = noisy(80, steps(50, 10))
    let most = 0
    startingNoise(series, false, () => {
      most++
      const edges = Array.from({ length: 21 * most }, (_, k) => k + 1).filter((edge) => edge < 80)
      return { edges, levels: segmentMeans(series, edges) }
    })
    expect(most).toBe(1)
  })

  it('takes a cut that explains more than its edges cost: 9 + 2 ln n + 100 / n each', () => {
    const bounds = (length: number, robust: boolean) => {
      const cost = (9 + 2 * Math.log(length) + 100 / length) * (robust ? 1.5 : 1)
      const taken: number[] = []
      const left: number[] = []
      for (let size = 0.2; size < 6; size += 0.05) {
        const series = noisy(length, (i) => (i < length / 2 ? 0 : size))
        const cut = { edges: [length / 2], levels: segmentMeans(series, [length / 2]) }
        const whole = longRunVariance(series, robust)
        const about = longRunVariance(series, robust, cut)
        let tried = false
        const found = startingNoise(series, robust, () => {
          tried = true
          return cut
        })
        const explained = length * Math.log(whole.innovation / about.innovation)
        if (!tried) continue
        if (found.variance === whole.variance) left.push(explained - cost)
        else taken.push(explained - cost)
      }
      return { taken, left }
    }
    let tooDear = 0
    for (const length of [40, 200]) {
      for (const robust of [false, true]) {
        const { taken, left } = bounds(length, robust)
        expect(taken.length).toBeGreaterThan(5)
        expect(Math.min(...taken)).toBeGreaterThan(0)
        expect(Math.max(...left, -1)).toBeLessThan(0)
        tooDear += left.length
      }
    }
    expect(tooDear).toBeGreaterThan(10)
  })
})

describe('noise of a long series', () => {
  const long = noisy(24_000, steps(40, 1000))
  const never = () => {
    throw new Error('cut as a whole')
  }

  it('is that about the levels of a coarse cut, with each edge at its place', () => {
    // An edge that is off by four values would leave 4 × 1600 / 1000 more.
    const noise = startingNoise(long, false, never)
    expect(Math.abs(noise.variance - 1)).toBeLessThan(0.1)
    expect(Math.abs(noise.innovation - 1)).toBeLessThan(0.05)
  })

  it('is also that where blocks begin right at the edges or just before', () => {
    for (const shift of [0, 1, 4, 7]) {
      const series = noisy(20_808, (i) => (Math.floor((i + shift) / 800) % 2) * -30)
      expect(Math.abs(startingNoise(series, false, never).variance - 1)).toBeLessThan(0.1)
    }
  })

  it('is rough where it is to be robust', () => {
    expect(startingNoise(long, true, never)).toEqual(roughNoise(long, true))
  })
})

describe('rough noise', () => {
  it('is that about the mean, but no more than second differences say, with room for how little they know', () => {
    const flat = noisy(400, () => 0)
    expect(roughNoise(flat, false)).toEqual(longRunVariance(flat, false))
    const stepping = noisy(400, steps(50, 100))
    const { variance, innovation, scale } = roughNoise(stepping, false)
    // 1 + 60 / sqrt(400) times the noise.
    expect(variance / 4).toBeGreaterThan(0.7)
    expect(variance / 4).toBeLessThan(1.4)
    expect(Math.abs(innovation - 1)).toBeLessThan(0.3)
    expect(Math.abs(scale - 1)).toBeLessThan(0.2)
    // Three times as much of noise with a correlation of a half.
    const correlated = roughNoise(noisy(400, steps(50, 100), 0.5), false).variance / 12
    expect(Math.abs(Math.log(correlated))).toBeLessThan(0.6)
  })
})
