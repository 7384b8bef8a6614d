import { segmentMeans } from '../segmentMeans.js'
import { type LongRunNoise, longRunVariance, roundingNoise } from '../statistics/longRunVariance.js'
import { correlationFactor, estimateNoise } from '../statistics/noise.js'
import { changePenalty } from './changePenalty.js'
import { optimalPartition } from './optimalPartition.js'

/** A cut of a series, as far as the noise about it matters. */
interface Cut {
  readonly edges: readonly number[]
  readonly levels: readonly number[]
}

/**
 * Noise of a series of which nothing is known yet: neither its changes, which would count as noise about its mean, nor its
 * autocorrelation, which would count as changes.
 *
 * The series is cut with penalties from high to low; each cut has its noise; and the cut is taken whose noise, as a first-order
 * autoregression, explains the series best for its number of edges:
 *
 *   n ln(s² (1 - r²)) + edges × (9 + 2 ln n + 100 / n)
 *
 * A series so long that second differences tell its noise well enough takes it from them, and then from the residuals of a
 * coarse cut, so that the first full cut has nearly its final penalty.
 *
 * @param cutWith - cuts the series with a penalty
 */
export function startingNoise(
  series: Float64Array,
  robust: boolean,
  cutWith: (penalty: number) => Cut,
): LongRunNoise {
  const whole = longRunVariance(series, robust)
  const n = series.length
  if (n > LONG) return robust ? roughNoise(series, true) : noiseAboutBlocks(series)
  const least = estimateNoise(series, roundingNoise(series)).whiteScale ** 2
  let best = { noise: whole, score: score(whole, n) }
  let edgeCount = 0
  for (let variance = whole.variance / 2; variance > least / 2 && variance > 0; variance /= 2) {
    const cut = cutWith(changePenalty(n, variance))
    if (cut.edges.length === edgeCount) continue
    edgeCount = cut.edges.length
    if (edgeCount > n / 4) break
    const noise = longRunVariance(series, robust, cut)
    const value = score(noise, n) + edgeCount * edgeCost(n, robust)
    if (value < best.score) best = { noise, score: value }
  }
  return best.noise
}

/** Noise about a cut of the means of short blocks, which takes an eighth of the time of a full one. */
function noiseAboutBlocks(series: Float64Array): LongRunNoise {
  const rough = roughNoise(series, false)
  const means = blockMeans(series)
  const penalty = changePenalty(means.length, rough.variance / BLOCK)
  const cut = optimalPartition(means, { penalty, minLength: 1, lossLimit: undefined })
  const blockLevels = segmentMeans(means, cut.edges)
  const edges = cut.edges.map((edge, k) => settle(series, edge * BLOCK, blockLevels[k]!, blockLevels[k + 1]!))
  const levels = segmentMeans(series, edges)
  const fine = longRunVariance(series, false, { edges, levels })
  return fine.variance < rough.variance ? fine : rough
}

function blockMeans(series: Float64Array): Float64Array {
  const means = new Float64Array(Math.floor(series.length / BLOCK))
  for (let i = 0; i < means.length * BLOCK; i++) means[Math.floor(i / BLOCK)]! += series[i]! / BLOCK
  return means
}

/** Short beside the segments that anybody looks for in a long series. */
const BLOCK = 8

/** The place of an edge between two known levels that leaves the least squares, up to a block away. */
function settle(series: Float64Array, edge: number, before: number, after: number): number {
  let best = edge
  let least = 0
  let cost = 0
  for (let i = edge - 1; i >= edge - BLOCK; i--) {
    cost += (series[i]! - after) ** 2 - (series[i]! - before) ** 2
    if (cost < least) [least, best] = [cost, i]
  }
  cost = 0
  for (let i = edge; i < edge + BLOCK; i++) {
    cost += (series[i]! - before) ** 2 - (series[i]! - after) ** 2
    if (cost < least) [least, best] = [cost, i + 1]
  }
  return best
}

/**
 * The noise about the mean, but no more than what second differences say, which steps don't disturb.
 */
export function roughNoise(series: Float64Array, robust: boolean): LongRunNoise {
  const whole = longRunVariance(series, robust)
  const rough = estimateNoise(series, roundingNoise(series))
  const variance =
    rough.scale ** 2 * correlationFactor(rough.autocorrelation) * (1 + ROUGHNESS / Math.sqrt(series.length))
  if (whole.variance <= variance) return whole
  return { scale: Math.min(whole.scale, rough.scale), innovation: rough.whiteScale ** 2, variance }
}

/** Values from which second differences tell the long-run variance within a third. */
const LONG = 20_000

/**
 * In 1,000 series of autoregressive noise (correlation 0.6) of 100 and of 1,000 values, the long-run variance from second
 * differences is too small by a factor of 7 and of 2.1 in the worst 0.5 %: 1 + 60 / sqrt(n) covers both.
 */
const ROUGHNESS = 60

function score(noise: LongRunNoise, count: number): number {
  return count * Math.log(Math.max(noise.innovation, Number.MIN_VALUE))
}

/**
 * What an edge must explain, in units of the log likelihood ratio: 2 ln n for its place, as in the Bayes information criterion
 * for a change (Yao 1988, Statistics & Probability Letters 6, 181-189), and 9 + 100 / n, chosen so that fewer than 1 % of
 * series of pure noise of 20 to 1,000 values, with a correlation of up to 0.6, show an edge in the end. The robust scale
 * scatters more: half as much again does the same for it.
 */
function edgeCost(count: number, robust: boolean): number {
  const cost = 9 + 2 * Math.log(count) + 100 / count
  return robust ? 1.5 * cost : cost
}
