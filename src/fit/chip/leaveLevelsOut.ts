import { dot } from '../../numeric/dot.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { CurvePosterior } from './curvePosterior.js'
import { centralDraws } from './drawFromPosterior.js'
import { logLikelihoods, type NoiseGrid, preparePart } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'
import { toProbabilities } from './toProbabilities.js'

/**
 * How far off the curve is at each level when the runs at that level are left out of the fit: ln rate foretold minus measured, mean over
 * the level's runs.
 *
 * Candidates and their prior weights stay; their likelihood is taken anew over the other runs. So a level costs a fiftieth of a fit.
 *
 * @param levels - numbers of the runs at each level to leave out
 * @source leave-one-out by importance weights: A. E. Gelfand, D. K. Dey, H. Chang (1992), Bayesian Statistics 4, 147-167 (from memory)
 */
export function leaveLevelsOut(
  posterior: CurvePosterior,
  levels: readonly (readonly number[])[],
): readonly number[] {
  const full = likelyPart(posterior)
  const numbers = new Map<CandidateCurve, number>(full.candidates.map(({ curve }, i) => [curve, i]))
  const { basis } = full.prepared.part
  return levels.map((level) => {
    const rest = basis.map((_, k) => k).filter((k) => !level.includes(k))
    const without = posteriorOf(full, rest)
    const misses = centralDraws(without, CURVES).map(({ curve, coefficients }) => {
      const i = numbers.get(curve)!
      const { misfit } = full.candidates[i]!
      const { centre } = without.candidates[i]!
      return (
        level.reduce((sum, k) => sum + centre - misfit[k]! + dot(basis[k]!, coefficients), 0) / level.length
      )
    })
    return quantile(misses, 0.5)
  })
}

/** Curves that the median at a level is taken of. */
const CURVES = 48

/** Candidates that may become probable without one of the levels. */
function likelyPart(posterior: CurvePosterior): CurvePosterior {
  const { candidates, probabilities, logPriors, prepared } = posterior
  const noises = prepared.noise.deviations.length
  const kept = candidates.flatMap((_, i) => {
    const own = probabilities.subarray(i * noises, (i + 1) * noises)
    return own.some((probability) => probability > HOPELESS) ? [i] : []
  })
  return {
    candidates: kept.map((i) => candidates[i]!),
    prepared,
    probabilities,
    logPriors: Float64Array.from(kept, (i) => logPriors[i]!),
  }
}

/** A level that is off by seven deviations costs a candidate this factor. */
const HOPELESS = 1e-11

/** The posterior that some of the runs alone give. */
function posteriorOf(
  { candidates, prepared, logPriors }: CurvePosterior,
  kept: readonly number[],
): CurvePosterior {
  const { part, noise } = prepared
  const some = preparePart(
    {
      basis: kept.map((k) => part.basis[k]!),
      variances: part.variances,
      spread: Float64Array.from(kept, (k) => part.spread[k]!),
    },
    thinned(noise),
  )
  const noises = some.noise.deviations.length
  const logs = new Float64Array(candidates.length * noises)
  const known = candidates.map(({ curve, misfit }, i) => {
    const own = new Float64Array(kept.length)
    let centre = 0
    for (let j = 0; j < own.length; j++) {
      own[j] = misfit[kept[j]!]!
      centre += own[j]! / own.length
    }
    for (let j = 0; j < own.length; j++) own[j]! -= centre
    logLikelihoods(some, own, logs, i * noises)
    for (let s = 0; s < noises; s++) logs[i * noises + s]! += logPriors[i]!
    return { curve, misfit: own, centre }
  })
  return { candidates: known, prepared: some, probabilities: toProbabilities(logs), logPriors }
}

/** Every other noise level: enough for a median, at half the cost. */
function thinned({ deviations, logWeights }: NoiseGrid): NoiseGrid {
  const isKept = (_: number, s: number) => s % 2 === 0
  return { deviations: deviations.filter(isKept), logWeights: logWeights.filter(isKept) }
}
