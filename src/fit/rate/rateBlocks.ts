import type { Trace } from '../../log/trace.js'
import { correlationTime } from '../../numeric/statistics/correlationTime.js'
import { findRateLag } from './findRateLag.js'
import { type PacedSpan, pacedSamples, samplesWithin } from './pacedSamples.js'
import { rateResiduals } from './rateResiduals.js'

/** Mean pace over a piece of the load: what a scored run of that length would have scored. */
export interface RateBlock extends PacedSpan {
  /** In the unit of the column: work per time, or time per work. */
  readonly score: number
}

/** The course of a load as scored pieces, and how they were made. */
export interface RateBlocks {
  readonly blocks: readonly RateBlock[]
  readonly blockS: number
  /** Integrated autocorrelation time of the pace about a curve over power, s. */
  readonly correlationS: number
  /** By how much the pace comes later in the log than its power, s. */
  readonly lagS: number
}

/**
 * Cuts the course of a load into blocks of equal length whose mean paces are as good as independent: batch means. A block is long enough
 * when it spans several integrated autocorrelation times of the pace about a smooth curve over power; then its mean has about the variance
 * of its effective sample size, and neighbours hardly share noise.
 *
 * The power of a block is all of its samples, so that a block over a step is as good as one on a level. Where pace and power are out of step
 * in the log, blocks of the pace are taken that much later.
 *
 * @param spans - times of work: runs of loads, without their pauses
 * @param isTime - the column holds times for fixed work
 * @source batch means: B. Schmeiser (1982), Batch size effects in the analysis of simulation output, Oper. Res. 30, 556-568; length by the
 * autocorrelation time: G. S. Fishman (1978), Grouping observations in digital simulation, Manage. Sci. 24, 510-521 (both from memory)
 */
export function rateBlocks(trace: Trace, spans: readonly PacedSpan[], isTime: boolean): RateBlocks {
  const samples = pacedSamples(trace, spans, isTime)
  const lagS = findRateLag(samples, trace, spans)
  const residuals = rateResiduals(samples, trace, lagS)?.residuals ?? []
  const correlationS = correlationTime(residuals) * samples.stepS
  const inner = spans
    .map((span) => innerSpan(span, trace.intervalS, lagS))
    .filter((span) => lengthOf(span) > 0)
  const totalS = inner.reduce((sum, span) => sum + lengthOf(span), 0)
  const least = Math.max(LEAST_SAMPLES * trace.intervalS, totalS / MOST_BLOCKS)
  const blockS = Math.max(least, Math.min(CORRELATION_TIMES * correlationS, totalS / FEWEST_BLOCKS))
  const blocks = inner.flatMap((span) => blocksOf(span, blockS, { trace, lagS, isTime }))
  return { blocks, blockS, correlationS, lagS }
}

/**
 * Neighbouring means of a first-order autoregression over so many of its integrated times still correlate by 1 / (2 × 4 - 1) or so less: 0.06.
 */
const CORRELATION_TIMES = 4
/**
 * Schmeiser's 10 to 30. More and shorter blocks resolve a load's first seconds better than the model of chip and heat knows them: with 48,
 * intervals at the highest power hold 75 % in the worlds of `tests/study/rate-coverage.md`.
 */
const MOST_BLOCKS = 24
/** With fewer, nothing would be known of their scatter. */
const FEWEST_BLOCKS = 8
const LEAST_SAMPLES = 4

/** The part of a span that is sure to be work in both columns: the first and last sample may mix with a pause. */
function innerSpan({ startS, endS }: PacedSpan, intervalS: number, lagS: number): PacedSpan {
  return {
    startS: startS + intervalS + Math.max(0, -lagS),
    endS: endS - intervalS - Math.max(0, lagS),
  }
}

function lengthOf({ startS, endS }: PacedSpan): number {
  return endS - startS
}

interface BlockSource {
  readonly trace: Trace
  readonly lagS: number
  readonly isTime: boolean
}

function blocksOf(span: PacedSpan, blockS: number, source: BlockSource): RateBlock[] {
  const count = Math.floor(lengthOf(span) / blockS + 1e-9)
  const lengthS = lengthOf(span) / Math.max(1, count)
  return Array.from({ length: count }, (_, k) => {
    const startS = span.startS + k * lengthS
    return { startS, endS: startS + lengthS, score: meanScore(startS, startS + lengthS, source) }
  }).filter(({ score }) => Number.isFinite(score) && score > 0)
}

/** Work per time over a block, or its inverse for a column of times: time-weighted, so that uneven sampling counts right. */
function meanScore(startS: number, endS: number, { trace, lagS, isTime }: BlockSource): number {
  const { timesS, intervalS } = trace
  let [work, seconds] = [0, 0]
  for (const i of samplesWithin(trace, startS + lagS - intervalS / 2, endS + lagS + intervalS / 2)) {
    const value = trace.rate![i]!
    if (Number.isNaN(value) || (isTime && value <= 0)) continue
    const lasted = i === 0 ? intervalS : timesS[i]! - timesS[i - 1]!
    work += (isTime ? 1 / value : value) * lasted
    seconds += lasted
  }
  const pace = work / seconds
  return isTime ? 1 / pace : pace
}
