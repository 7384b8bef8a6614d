import type { PreparedPart } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'

/** Candidate curves and how they explain the runs. Only what every one of them needs is kept: a curve is made again when it is asked for. */
export interface CurveCandidates {
  readonly count: number
  /** How many there are of each family, which stand one after the other. */
  readonly families: readonly { readonly shape: CandidateCurve['shape']; readonly count: number }[]
  readonly curveOf: (candidate: number) => CandidateCurve
  /** ln rate of each run minus what the curve says, centred: all runs of one candidate, then of the next. */
  readonly misfits: Float64Array
  /** What was taken off each to centre it: the ln scale before any coefficient. */
  readonly centres: Float64Array
}

/** What the score curve of a chip may be, as weights on candidates and noise levels. */
export interface CurvePosterior {
  readonly candidates: CurveCandidates
  readonly prepared: PreparedPart
  /** Probability of each pair of candidate and noise level; the noise level runs fastest. */
  readonly probabilities: Float64Array
  /** Probability of each candidate. */
  readonly shares: Float64Array
  /** ln weight of each candidate before the runs were looked at. */
  readonly logPriors: Float64Array
}

/** The misfits of one candidate. */
export function misfitOf({ candidates, prepared }: CurvePosterior, candidate: number): Float64Array {
  const runs = prepared.part.basis.length
  return candidates.misfits.subarray(candidate * runs, (candidate + 1) * runs)
}

/** Posterior probability of each family of shapes. */
export function familyProbabilities(
  posterior: CurvePosterior,
): readonly { readonly shape: string; readonly probability: number }[] {
  const { candidates, probabilities } = posterior
  const levels = probabilities.length / candidates.count
  let from = 0
  return candidates.families.map(({ shape, count }) => {
    const own = probabilities.subarray(from, from + count * levels)
    from += own.length
    return { shape, probability: own.reduce((sum, probability) => sum + probability, 0) }
  })
}
