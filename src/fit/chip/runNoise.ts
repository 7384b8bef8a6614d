import type { CurvePosterior } from './curvePosterior.js'
import type { NoiseGrid } from './linearPart.js'

/** Half of all machines scatter less than 0.4 %, nearly all between 0.1 and 1.6 %; common practice, no source. */
const MEDIAN = 0.004
const LOG_DEVIATION = 0.8
/** Steps of 0.46 prior deviations from 0.1 to 8 %: close enough for sums to stand for integrals. */
const LEVELS = 13

/** Levels of run-to-run scatter (relative standard deviation) that the posterior is summed over, with their prior. */
export const RUN_NOISE: NoiseGrid = noiseGrid()

/** Posterior probability of each noise level (relative standard deviation). */
export function noiseProbabilities(posterior: CurvePosterior): {
  readonly deviations: readonly number[]
  readonly weights: readonly number[]
} {
  const { deviations } = RUN_NOISE
  const weights = deviations.map((_, s) => {
    let sum = 0
    for (let i = s; i < posterior.probabilities.length; i += deviations.length)
      sum += posterior.probabilities[i]!
    return sum
  })
  return { deviations, weights }
}

function noiseGrid(): NoiseGrid {
  const steps = Array.from({ length: LEVELS }, (_, i) => -1.75 + i * 0.46)
  return {
    deviations: steps.map((z) => MEDIAN * Math.exp(z * LOG_DEVIATION)),
    logWeights: steps.map((z) => (-z * z) / 2),
  }
}
