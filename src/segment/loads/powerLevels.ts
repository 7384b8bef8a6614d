import type { Trace } from '../../log/trace.js'
import { findChangePoints } from '../../numeric/changePoints/findChangePoints.js'
import { quickselect } from '../../numeric/quickselect.js'
import { estimateNoise } from '../../numeric/statistics/noise.js'
import { thin } from '../../numeric/thin.js'
import { medianOfThree } from './medianOfThree.js'
import { stepNoise } from './stepNoise.js'

/** A stretch of samples `from` to `to - 1` at one level. */
export interface PowerLevel {
  readonly from: number
  readonly to: number
  readonly levelW: number
  readonly lengthS: number
  /** Mean use, %, and mean clock, Hz; null without such a column. */
  readonly usePct: number | null
  readonly clockHz: number | null
}

/** A whole log as a staircase. */
export interface PowerLevels {
  readonly levels: readonly PowerLevel[]
  /** Scale of the samples' noise, W, if neighbours were independent. */
  readonly noiseW: number
  /** Power that the log exceeds for no more than a hundredth of its samples, W. */
  readonly topW: number
}

/** Steps below this share of the log's top are of no interest between idle and work. */
const FINEST_SHARE = 0.004
/** So many samples tell where the top of a log is. */
const ENOUGH = 2 ** 16

/**
 * The log as levels between its change points. Lone spikes are taken out first; a relaxation becomes a staircase, which is good enough to
 * tell idle from work.
 */
export function findPowerLevels(trace: Trace): PowerLevels {
  const { timesS, powerW } = trace
  const smooth = powerW.map((_, i) => medianOfThree(powerW, i))
  const some = Float64Array.from(thin(smooth, ENOUGH))
  const topW = quickselect(some, Math.floor(0.99 * (some.length - 1)))
  const noiseW = Math.max(
    Math.min(estimateNoise(powerW, 0).whiteScale, stepNoise(powerW)),
    FINEST_SHARE * topW,
  )
  // Modified BIC for a level and its place: 3 ln n.
  const penalty = 3 * noiseW ** 2 * Math.log(Math.max(powerW.length, 10))
  const { edges, levels } = findChangePoints(smooth, { penalty: Math.max(penalty, Number.MIN_VALUE) })
  const starts = [0, ...edges]
  return {
    noiseW,
    topW,
    levels: starts.map((from, k) => {
      const to = starts[k + 1] ?? powerW.length
      return {
        from,
        to,
        levelW: levels[k]!,
        lengthS: sampleStart(timesS, to) - sampleStart(timesS, from),
        usePct: meanOf(trace.usePct, from, to),
        clockHz: meanOf(trace.clockHz, from, to),
      }
    }),
  }
}

/** A sample speaks for the interval that ends at it. */
function sampleStart(timesS: Float64Array, i: number): number {
  return i > 0 ? timesS[i - 1]! : timesS[0]!
}

function meanOf(column: Float64Array | null | undefined, from: number, to: number): number | null {
  if (!column) return null
  let sum = 0
  let count = 0
  for (let i = from; i < to; i++) {
    if (!Number.isFinite(column[i]!)) continue
    sum += column[i]!
    count++
  }
  return count > 0 ? sum / count : null
}
