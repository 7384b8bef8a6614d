import { ESTIMATE_EDGE } from '../../numeric/statistics/estimate.js'
import { mean, standardDeviation } from '../../numeric/statistics/moments.js'
import type { Sustained } from '../load.js'
import type { DraftStage } from '../stages/draftStage.js'

/** Means of cycles are known no better, as a share: where samples fall on the edges; common practice, no source. */
const LEAST_ERROR = 0.002

/**
 * The sustained power of a swing, as uncertain as the means of its cycles are: their course is smooth, and says nothing of how they scatter.
 *
 * How means of neighbouring cycles differ tells their scatter, whatever their trend; how the later half differs from the earlier one, how far they
 * still move.
 */
export function widenSwing(sustained: Sustained, { stretches }: DraftStage): Sustained {
  const last = stretches.at(-1)!
  const { cycles, powerW } = last.run.series
  if (cycles === undefined) return sustained
  const middles = cycles.edges.slice(1).map((to, k) => Math.floor((cycles.edges[k]! + to) / 2))
  const means = middles.filter((at) => at >= last.part.from && at < last.part.to).map((at) => powerW[at]!)
  if (means.length < 3) return sustained
  const steps = means.slice(1).map((watts, k) => watts - means[k]!)
  const scatterW = standardDeviation(steps)! / Math.sqrt(2 * means.length)
  const half = Math.ceil(means.length / 2)
  const driftW = sustained.reached ? (mean(means.slice(-half))! - mean(means.slice(0, half))!) / 2 : 0
  const { value, low, high, level } = sustained.levelW
  const errorW = ESTIMATE_EDGE * Math.hypot(scatterW, LEAST_ERROR * value)
  return {
    ...sustained,
    levelW: {
      value,
      low: value - Math.hypot(value - low, errorW, Math.min(0, driftW)),
      high: value + Math.hypot(high - value, errorW, Math.max(0, driftW)),
      level,
    },
  }
}
