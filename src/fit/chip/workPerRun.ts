import { type Estimate, estimateFromStandardError } from '../../numeric/statistics/estimate.js'
import { medianAbsoluteDeviation } from '../../numeric/statistics/medianAbsoluteDeviation.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Workload } from '../../physics/chip/chip.js'
import { rateFromScore } from '../../physics/chip/chipAt.js'

/**
 * Work of one run, rate x seconds: for fixed work it is the same in every run, so that duration = work / mean rate.
 *
 * The median over runs, with a t interval from a robust spread: one run with a wrong time doesn't move it.
 *
 * @param runs - rate (score, or 1/score when lower is better) and length of each run in seconds
 * @returns null without runs
 * @example workPerRun([{ rate: 100, durationS: 60 }])?.value // 6000
 */
export function workPerRun(
  runs: readonly { readonly rate: number; readonly durationS: number }[],
): Estimate | null {
  if (runs.length === 0) return null
  const works = runs.map(({ rate, durationS }) => rate * durationS)
  const value = quantile(works, 0.5)
  const spread = Math.max(medianAbsoluteDeviation(works.map((work) => work - value)), FLOOR * value)
  // A median's standard error is sqrt(pi / 2) times that of a mean.
  const standardError = spread * Math.sqrt(Math.PI / 2 / works.length)
  return estimateFromStandardError({ value, standardError, degreesOfFreedom: Math.max(3, works.length - 1) })
}

/** Rate and length of the runs that were timed; of a mean, the length of one of its runs. */
export function timedRuns(
  runs: readonly {
    readonly startS: number
    readonly endS: number | null
    readonly score: number
    readonly runS?: number
  }[],
  workload: Workload,
): readonly { readonly rate: number; readonly durationS: number }[] {
  return runs.flatMap(({ startS, endS, score, runS }) => {
    if (endS === null || endS <= startS) return []
    return [{ rate: rateFromScore(workload, score), durationS: runS ?? endS - startS }]
  })
}

/** Relative scatter of score x duration that is always allowed for: times to 0.1 s in a run of a minute. */
const FLOOR = 0.002
