import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { ScoreCurve } from './scoreCurve.js'

/** What was run, and in which direction its score is better. `lower`: the score is a time for fixed work. */
export interface Workload {
  readonly name: string
  /** The score's unit, any word; `s` or `min` when lower is better. */
  readonly score: string
  readonly better: 'higher' | 'lower'
}

/** One member of the posterior over score curves. Weights of a chip's draws add up to 1. */
export interface WeightedCurve {
  readonly weight: number
  readonly curve: ScoreCurve
  /**
   * Fall of ln rate per kelvin of leakage heat (`leakageHeat`) above `referenceC`, at equal power; left out: 0. Curves are
   * told at the chip's `referenceC`.
   */
  readonly heatPerK?: number | undefined
}

/**
 * What turns watts into score: a posterior over score curves for one chip and workload.
 *
 * Curves give a *rate* (higher is better). When `workload.better` is `lower` the rate is 1/score, so a run of fixed
 * work scores 1 / (time-mean of the rate); when `higher`, the score is the time-mean of the rate itself.
 */
export interface Chip {
  readonly name: string
  readonly workload: Workload
  /** Lowest and highest power, W, that the scored runs sampled. */
  readonly measuredRangeW: readonly [number, number]
  /** Weighted posterior draws: whatever is computed from them carries the uncertainty of shape and scale. */
  readonly draws: readonly WeightedCurve[]
  /** Power above which the workload asks for no more, W; null when no ceiling was seen. */
  readonly demandW: number | null
  /** Work of one run in rate x seconds, so that duration = work / mean rate; null when no run had times. */
  readonly workPerRun: Estimate | null
  /** Temperature that the curves hold for, degrees C; left out: not known. */
  readonly referenceC?: number | undefined
}
