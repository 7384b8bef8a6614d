import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Warning } from '../../warnings.js'

/**
 * What a reader must know before trusting a score curve: too little data for a slope, runs off the curve, a noisy machine.
 *
 * @param runs - as fitted
 * @param scatter - run-to-run scatter, relative
 */
export function chipWarnings(fit: {
  readonly runs: readonly {
    readonly sheet: string
    readonly startS: number
    readonly score: number
    readonly fittedScore: number
    readonly spread: number
  }[]
  readonly measuredRangeW: readonly [number, number]
  readonly demandW: number | null
  readonly scatter: Estimate
}): readonly Warning[] {
  const { runs, measuredRangeW, demandW, scatter } = fit
  const [lowestW, highestW] = measuredRangeW
  const warnings: Warning[] = []
  if (runs.length < FEW_RUNS) warnings.push({ code: 'scored-runs-few', runs: runs.length })
  const spansSlope = highestW / lowestW >= SLOPE_RANGE
  if (!spansSlope && demandW === null) warnings.push({ code: 'powers-alike', measuredRangeW })
  for (const [index, run] of runs.entries()) {
    const offPct = 100 * (run.score / run.fittedScore - 1)
    if (run.spread > SET_BACK && Math.abs(offPct) > 1) {
      const { sheet, startS, score } = run
      warnings.push({ code: 'run-off-curve', sheet, run: index, startS, score, offPct })
    }
  }
  if (scatter.low > HIGH_SCATTER) warnings.push({ code: 'scores-scatter', scatterPct: 100 * scatter.value })
  return warnings
}

/** Fewer runs can't tell scatter from slope; common practice, no source. */
export const FEW_RUNS = 3
/** Powers closer than 8 % move a score by about 4 %: a slope from runs that scatter by 0.5 % is then good to a fifth at best. */
const SLOPE_RANGE = 1.08
/** A run set back this far counts for less than half of an ordinary one. */
const SET_BACK = 1.5
/** A quiet machine repeats a score to better than 1 or 2 %; common practice, no source. */
const HIGH_SCATTER = 0.02
