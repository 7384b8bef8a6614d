import { InputError } from '../../errors.js'
import { segmentMeans } from '../segmentMeans.js'
import { type LongRunNoise, longRunVariance } from '../statistics/longRunVariance.js'
import { changePenalty } from './changePenalty.js'
import { optimalPartition } from './optimalPartition.js'
import { roughNoise, startingNoise } from './startingNoise.js'

/** How a value far from its segment's level counts: fully (`squared`), or no more than one three deviations away (`biweight`). */
export type ChangeLoss = 'squared' | 'biweight'

/** Options of `findChangePoints`. */
export interface ChangePointOptions {
  /** What an edge costs, in squared units of the values; from the noise when left out. */
  readonly penalty?: number | undefined
  /** Fewest values in a segment; 1 when left out. */
  readonly minLength?: number | undefined
  /** `squared` when left out. */
  readonly loss?: ChangeLoss | undefined
}

/** A series cut into segments of constant level. */
export interface ChangePoints {
  /** First index of each segment but the first, rising. */
  readonly edges: readonly number[]
  /** Σ (value - level)². */
  readonly residualSumOfSquares: number
  /** One per segment: its mean, or its robust level under the biweight loss. */
  readonly levels: readonly number[]
  /** What an edge cost. */
  readonly penalty: number
}

/**
 * Cuts a series into segments of constant level: the exact minimum of
 *
 *   Σ loss(value - level of its segment) + penalty × number of edges
 *
 * over all ways of cutting, by functional pruning: near-linear in the number of values whatever the number of edges.
 *
 * Without a penalty, it is taken from the noise, s² (1 + p) / (1 - p) × (10 + ln n) with s the standard deviation and p the
 * lag-1 correlation about the segments, so that fewer than 1 % of series of pure noise, white or autocorrelated, show an
 * edge (see `startingNoise` and `changePenalty`). The biweight loss bounds the loss of a value at (3 s)², so that outliers don't make edges.
 *
 * @param values - at least one finite number
 * @throws InputError `values-unusable`, `penalty-unusable`, `min-length-unusable`
 * @source R. Maidstone, T. Hocking, G. Rigaill, P. Fearnhead (2017), On optimal multiple changepoint algorithms for large
 * data, Statistics and Computing 27, 519-533; biweight: P. Fearnhead, G. Rigaill (2019), Changepoint detection in the presence
 * of outliers, J. Amer. Statist. Assoc. 114, 169-183
 * @example findChangePoints([1, 2, 1, 2, 8, 9, 8, 9], { penalty: 5 }).edges // [4]
 */
export function findChangePoints(values: ArrayLike<number>, options: ChangePointOptions = {}): ChangePoints {
  const series = requireSeries(values)
  const minLength = requireMinLength(options.minLength ?? 1)
  const robust = options.loss === 'biweight'
  if (options.penalty !== undefined) {
    return segment(
      series,
      requirePenalty(options.penalty),
      minLength,
      robust ? roughNoise(series, true).scale : undefined,
    )
  }
  return withNoisePenalty(series, minLength, robust)
}

/** Rounds of estimating the noise about the segments and cutting again; most series need two. */
const NOISE_ROUNDS = 8

/** Cuts, estimates the noise about the segments, and cuts again while that lowers the noise. */
function withNoisePenalty(series: Float64Array, minLength: number, robust: boolean): ChangePoints {
  const scale = robust ? roughNoise(series, true).scale : undefined
  let noise = startingNoise(series, robust, (penalty) => segment(series, penalty, minLength, scale))
  let result = cut(series, minLength, robust, noise)
  for (let round = 1; round < NOISE_ROUNDS && result.edges.length > 0; round++) {
    const lower = longRunVariance(series, robust, result)
    // 7 % of the variance is 3.5 % of the smallest step that is found.
    if (lower.variance > 0.93 * noise.variance) break
    noise = lower
    const next = cut(series, minLength, robust, noise)
    const same =
      next.edges.length === result.edges.length && next.edges.every((edge, k) => edge === result.edges[k])
    result = next
    if (same) break
  }
  return result
}

function cut(series: Float64Array, minLength: number, robust: boolean, noise: LongRunNoise): ChangePoints {
  return segment(
    series,
    changePenalty(series.length, noise.variance),
    minLength,
    robust ? noise.scale : undefined,
  )
}

/** Outliers begin at three standard deviations (Fearnhead & Rigaill 2019, section 4). */
const OUTLIER_DEVIATIONS = 3

function segment(
  series: Float64Array,
  penalty: number,
  minLength: number,
  scale: number | undefined,
): ChangePoints {
  const lossLimit = scale === undefined ? undefined : (OUTLIER_DEVIATIONS * scale) ** 2
  const { edges, levels } = optimalPartition(series, { penalty, minLength, lossLimit })
  const exactLevels = levels ?? segmentMeans(series, edges)
  return {
    edges,
    levels: exactLevels,
    penalty,
    residualSumOfSquares: sumOfSquares(series, edges, exactLevels),
  }
}

function sumOfSquares(series: Float64Array, edges: readonly number[], levels: readonly number[]): number {
  let sum = 0
  for (const [k, end] of [...edges, series.length].entries()) {
    for (let i = edges[k - 1] ?? 0; i < end; i++) sum += (series[i]! - levels[k]!) ** 2
  }
  return sum
}

function requireSeries(values: ArrayLike<number>): Float64Array {
  // Nothing writes over the series, so that one of the right kind need not be copied.
  const series = values instanceof Float64Array ? values : new Float64Array(values)
  let unusable = -1
  for (let i = 0; i < series.length && unusable < 0; i++) if (!Number.isFinite(series[i]!)) unusable = i
  if (series.length === 0 || unusable >= 0) {
    throw new InputError(
      'values-unusable',
      `Change points need one or more finite values, got ${unusable >= 0 ? `${series[unusable]} at index ${unusable}` : 'none'}.`,
      { remedy: 'Leave missing values out.' },
    )
  }
  return series
}

function requirePenalty(penalty: number): number {
  if (!(penalty >= 0 && Number.isFinite(penalty))) {
    throw new InputError('penalty-unusable', `expected a penalty of 0 or more, got ${penalty}`)
  }
  return penalty
}

function requireMinLength(minLength: number): number {
  if (!(Number.isInteger(minLength) && minLength >= 1)) {
    throw new InputError(
      'min-length-unusable',
      `expected a shortest length of 1, 2, 3, ..., got ${minLength}`,
    )
  }
  return minLength
}
