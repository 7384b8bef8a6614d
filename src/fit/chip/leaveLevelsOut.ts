import { dot } from '../../numeric/dot.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { type CurvePosterior, misfitOf } from './curvePosterior.js'
import { centralDraws } from './drawFromPosterior.js'
import { logLikelihoods, type NoiseGrid, preparePart } from './linearPart.js'
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
  const likely = likelyCandidates(posterior)
  const { basis } = posterior.prepared.part
  return levels.map((level) => {
    const rest = basis.map((_, k) => k).filter((k) => !level.includes(k))
    const without = posteriorOf(posterior, likely, rest)
    const misses = centralDraws(without, CURVES).map(({ candidate, coefficients }) => {
      const misfit = misfitOf(posterior, likely[candidate]!)
      return level.reduce((sum, k) => sum - misfit[k]! + dot(basis[k]!, coefficients), 0) / level.length
    })
    return quantile(misses, 0.5)
  })
}

/** Curves that the median at a level is taken of. */
const CURVES = 48

/** Numbers of the candidates that may become probable without one of the levels. */
function likelyCandidates({ shares }: CurvePosterior): readonly number[] {
  const likely: number[] = []
  for (let c = 0; c < shares.length; c++) if (shares[c]! > HOPELESS) likely.push(c)
  return likely
}

/** A level that is off by seven deviations costs a candidate this factor. */
const HOPELESS = 1e-11

/** The posterior that some of the runs alone give some of the candidates. */
function posteriorOf(
  full: CurvePosterior,
  likely: readonly number[],
  kept: readonly number[],
): CurvePosterior {
  const { part, noise } = full.prepared
  const prepared = preparePart(
    {
      basis: kept.map((k) => part.basis[k]!),
      variances: part.variances,
      spread: Float64Array.from(kept, (k) => part.spread[k]!),
    },
    thinned(noise),
  )
  const { misfits, centres } = misfitsOf(full, likely, kept)
  const logs = new Float64Array(likely.length * prepared.noise.deviations.length)
  logLikelihoods(prepared, misfits, logs)
  const logPriors = Float64Array.from(likely, (c) => full.logPriors[c]!)
  const curveOf = (i: number) => full.candidates.curveOf(likely[i]!)
  const candidates = { count: likely.length, families: full.candidates.families, curveOf, misfits, centres }
  return { candidates, prepared, logPriors, ...toProbabilities(logs, logPriors) }
}

/**
 * Misfits of some candidates at some runs, still centred over all of them, as the scale makes up for that; and their own centres, in the order of
 * which curves are drawn: it is that of what is missed elsewhere.
 */
function misfitsOf(
  { candidates, prepared }: CurvePosterior,
  likely: readonly number[],
  kept: readonly number[],
): { readonly misfits: Float64Array; readonly centres: Float64Array } {
  const runs = prepared.part.basis.length
  const misfits = new Float64Array(likely.length * kept.length)
  const centres = new Float64Array(likely.length)
  for (let i = 0, at = 0; i < likely.length; i++) {
    const from = likely[i]! * runs
    let sum = 0
    for (let j = 0; j < kept.length; j++, at++) {
      const misfit = candidates.misfits[from + kept[j]!]!
      misfits[at] = misfit
      sum += misfit
    }
    centres[i] = sum / kept.length
  }
  return { misfits, centres }
}

/** Every other noise level: enough for a median, at half the cost. */
function thinned({ deviations, logWeights }: NoiseGrid): NoiseGrid {
  const isKept = (_: number, s: number) => s % 2 === 0
  return { deviations: deviations.filter(isKept), logWeights: logWeights.filter(isKept) }
}
