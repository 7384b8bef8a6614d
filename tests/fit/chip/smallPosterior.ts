import type { CurvePosterior } from '../../../src/fit/chip/curvePosterior.js'
import { logLikelihoods, preparePart } from '../../../src/fit/chip/linearPart.js'
import type { CandidateCurve } from '../../../src/fit/chip/prior/curvePrior.js'
import { toProbabilities } from '../../../src/fit/chip/toProbabilities.js'

/** A posterior of few candidates whose only coefficient is the ln scale: small enough to work out by hand. */
export interface SmallPosterior {
  /** ln rate of each run minus what the candidate says, one row a candidate. */
  readonly misfits: readonly (readonly number[])[]
  readonly centres?: readonly number[]
  readonly priors?: readonly number[]
  /** Prior variance of the ln scale. */
  readonly variance?: number
  readonly spread?: readonly number[]
  readonly deviations?: readonly number[]
  readonly logWeights?: readonly number[]
}

export function smallPosterior({
  misfits,
  centres = misfits.map((_, c) => c),
  priors = misfits.map(() => 0),
  variance = 100,
  spread = misfits[0]!.map(() => 1),
  deviations = [0.01],
  logWeights = deviations.map(() => 0),
}: SmallPosterior): CurvePosterior {
  const runs = misfits[0]!.length
  const part = {
    basis: Array.from({ length: runs }, () => Float64Array.of(1)),
    variances: Float64Array.of(variance),
    spread: Float64Array.from(spread),
  }
  const prepared = preparePart(part, { deviations, logWeights })
  const all = Float64Array.from(misfits.flat())
  const logs = new Float64Array(misfits.length * deviations.length)
  logLikelihoods(prepared, all, logs)
  const logPriors = Float64Array.from(priors)
  return {
    candidates: {
      count: misfits.length,
      families: [],
      curveOf: (candidate) => ({ shape: 'power-law', candidate }) as unknown as CandidateCurve,
      misfits: all,
      centres: Float64Array.from(centres),
    },
    prepared,
    logPriors,
    ...toProbabilities(logs, logPriors),
  }
}
