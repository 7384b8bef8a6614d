import { medianAbsoluteDeviation } from '../../numeric/statistics/medianAbsoluteDeviation.js'
import type { CurvePosterior } from './curvePosterior.js'
import { centralDraws } from './drawFromPosterior.js'

/**
 * Spreads (noise variance relative to an ordinary run) that pull runs far off everybody's curve down to a bound, so that
 * background work in one run doesn't bend the curve. The present spreads stay the least.
 *
 * @param powerErrors - what the error of each run's noted power makes of its ln score, standard deviation
 * @param ordinary - spread of each run that nobody doubts: a mean of several is judged as one run is, as what bends a curve doesn't average out
 * @source bound on robust deviations: F. R. Hampel (1974), J. Am. Stat. Assoc. 69, 383-393
 */
export function downweightOutliers(
  posterior: CurvePosterior,
  powerErrors: readonly number[],
  ordinary: Float64Array,
): Float64Array {
  const { spread } = posterior.prepared.part
  if (spread.length < OUTLIER_MIN_RUNS) return spread
  const residuals = meanResiduals(posterior)
  const scale = Math.max(OUTLIER_FLOOR, medianAbsoluteDeviation(residuals))
  return spread.map((value, k) => {
    const excess =
      Math.abs(residuals[k]!) /
      (OUTLIER_BOUND * Math.hypot(scale * Math.sqrt(value / ordinary[k]!), powerErrors[k]!))
    // A run at the bound keeps its weight, one three times as far off counts for almost nothing.
    return value * Math.max(1, excess) ** 4
  })
}

/** A run further off than this many robust standard deviations is set back. */
const OUTLIER_BOUND = 3.5
/** Robust scatter is never taken for less: a few runs may agree by chance. */
const OUTLIER_FLOOR = 0.003
/** With fewer runs nobody can say which one is off. */
const OUTLIER_MIN_RUNS = 5

/** Curves that the residual of a run is averaged over. */
const CURVES = 24

/** Fitted minus measured ln rate of each run, posterior mean. */
function meanResiduals(posterior: CurvePosterior): Float64Array {
  const draws = centralDraws(posterior, CURVES)
  return draws[0]!.residuals.map((_, k) => draws.reduce((sum, draw) => sum + draw.residuals[k]!, 0) / CURVES)
}
