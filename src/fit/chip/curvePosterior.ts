import type { PreparedPart } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'

/** A candidate curve and how it explains the runs. */
export interface CurveCandidate {
  readonly curve: CandidateCurve
  /** ln rate of each run minus what the curve says, centred. */
  readonly misfit: Float64Array
  /** What was taken off to centre: the ln scale before any coefficient. */
  readonly centre: number
}

/** What the score curve of a chip may be, as weights on candidates and noise levels. */
export interface CurvePosterior {
  readonly candidates: readonly CurveCandidate[]
  readonly prepared: PreparedPart
  /** Probability of each pair of candidate and noise level; the noise level runs fastest. */
  readonly probabilities: Float64Array
  /** ln weight of each candidate before the runs were looked at. */
  readonly logPriors: Float64Array
}
