import { kroneckerPoints } from '../../numeric/statistics/kroneckerPoint.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'
import type { WeightedCurve } from '../../physics/chip/chip.js'
import type { ScoreCurve } from '../../physics/chip/scoreCurve.js'

/** One possible chip with the normal scores of one possible chassis. */
export interface DrawPair {
  readonly weight: number
  readonly curve: ScoreCurve
  readonly scores: readonly number[]
  /** Fall of ln rate per kelvin of leakage heat. */
  readonly heatPerK: number
}

/** Enough for quantiles at 5 and 95 % to stand within a tenth of the interval's width, few enough for a slider. */
const PAIRS = 200

/**
 * Pairs the posterior draws of a chip with evenly spread normal scores for an uncertain chassis, without random numbers.
 *
 * With no scores to draw, the draws themselves. A chip of few draws is repeated with other scores; weights still add up to
 * what they did.
 *
 * @param draws - weighted posterior draws of a chip
 * @param scoreCount - normal scores that each pair needs
 * @example drawPairs(chip.draws, 0).length // as many as draws
 */
export function drawPairs(draws: readonly WeightedCurve[], scoreCount: number): DrawPair[] {
  if (scoreCount === 0)
    return draws.map(({ weight, curve, heatPerK }) => ({
      weight,
      curve,
      scores: [],
      heatPerK: heatPerK ?? 0,
    }))
  const repeats = Math.max(1, Math.ceil(PAIRS / draws.length))
  return kroneckerPoints(repeats * draws.length, scoreCount).map((shares, k) => {
    const { weight, curve, heatPerK } = draws[k % draws.length] as WeightedCurve
    return { weight: weight / repeats, curve, scores: shares.map(normalScore), heatPerK: heatPerK ?? 0 }
  })
}
