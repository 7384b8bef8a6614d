import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { weightedQuantiles } from '../../numeric/statistics/quantile.js'
import { RUN_NOISE } from './runNoise.js'

/**
 * Relative standard deviation of one run's score, from scores whose power nobody knows: how much they differ, and what runs do in
 * general (`RUN_NOISE`). With one score it is the latter alone.
 *
 *   p(deviation | scores) ∝ p(deviation) deviation^-(n - 1) exp(-S / (2 deviation²)), S the sum of squares about the mean of ln score
 *
 * @param scores - one or more, > 0, of runs that should score the same
 * @param counts - how many runs each score is the mean of, whose variance is that much less; left out: one
 * @source A. Gelman et al. (2013), Bayesian Data Analysis, 3rd edition, 3.2 (normal data, mean integrated out under a flat prior)
 * @example scoreScatter([61, 60, 62]).value // 0.013
 */
export function scoreScatter(scores: readonly number[], counts?: readonly number[]): Estimate {
  const logs = scores.map(Math.log)
  const countOf = (k: number) => counts?.[k] ?? 1
  const total = logs.reduce((sum, _, k) => sum + countOf(k), 0)
  const middle = logs.reduce((sum, value, k) => sum + countOf(k) * value, 0) / Math.max(1, total)
  const squares = logs.reduce((sum, value, k) => sum + countOf(k) * (value - middle) ** 2, 0)
  const { deviations, logWeights } = RUN_NOISE
  const logs2 = deviations.map(
    (deviation, i) =>
      logWeights[i]! - Math.max(0, scores.length - 1) * Math.log(deviation) - squares / (2 * deviation ** 2),
  )
  const most = Math.max(...logs2)
  const [low, value, high] = weightedQuantiles(
    deviations,
    logs2.map((log) => Math.exp(log - most)),
    [0.05, 0.5, 0.95],
  )
  return { value: value!, low: low!, high: high!, level: ESTIMATE_LEVEL }
}
