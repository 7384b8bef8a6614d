import { concatenate } from '../../numeric/concatenate.js'
import { elasticityAt } from '../../physics/chip/scoreCurve.js'
import type { CurveCandidates, CurvePosterior } from './curvePosterior.js'
import { downweightOutliers } from './downweightOutliers.js'
import { centralCurves } from './drawFromPosterior.js'
import { logRunRates, type ProfileGrid } from './gridProfiles.js'
import { isSamePart, logLikelihoods, type PreparedPart, preparePart } from './linearPart.js'
import { type CandidateCurve, type CurveFamily, PRIOR_DIMENSIONS } from './prior/curvePrior.js'
import { cubePoint, type PointCloud, pointCount, priorCloud, refineCloud } from './refineCandidates.js'
import type { RunHeat } from './runHeat.js'
import { RUN_NOISE } from './runNoise.js'
import { scoreBasis } from './scoreBasis.js'
import { toProbabilities } from './toProbabilities.js'

/** Everything the posterior needs to know of the runs. */
export interface CurveData {
  readonly grid: ProfileGrid
  /** ln rate of each run: ln score, or its negative when lower is better. */
  readonly logRates: readonly number[]
  /** Number of each run's sheet, counted from 0. */
  readonly sheets: readonly number[]
  /** How many runs each score is the mean of: its noise is that of one run over the square root of it. */
  readonly counts: readonly number[]
  /** Relative standard deviation of each run's power beyond the run scatter. */
  readonly powerUncertainties: readonly number[]
  /** Time-mean power of each run, W. */
  readonly meansW: readonly number[]
  readonly referenceW: number
  readonly heat: RunHeat
}

/**
 * Weighs candidate curves and noise levels by how well they explain the runs, with scale, bend and sheet offsets integrated
 * out. Candidates begin evenly spread over the prior, then gather where the posterior is. Runs that stand far off the
 * curve of all the others are set back.
 *
 * @throws InputError `scores-unexplained` when no candidate gives every run a score
 */
export function findCurvePosterior(data: CurveData, families: readonly CurveFamily[]): CurvePosterior {
  let clouds: readonly FamilyCloud[] = families.map((family) =>
    growCloud(data, family, priorCloud(countOf(family), PRIOR_DIMENSIONS)),
  )
  const runs = data.logRates.length
  const ordinary = Float64Array.from(data.counts, (count) => 1 / count)
  let belief = believe(data, {
    spread: ordinary,
    elasticity: 0,
    elasticities: new Array(runs).fill(FIRST_ELASTICITY),
  })
  for (let round = 0; round < ROUNDS; round++) {
    const posterior = posteriorOf(clouds, belief)
    const typical = centralCurves(posterior, TYPICAL_CURVES)
    // Of a power from a log there is no error that an elasticity would turn into one of the score.
    const elasticities = data.meansW.map((powerW, k) =>
      data.powerUncertainties[k]! > 0
        ? Math.min(STEEPEST, meanElasticity(typical, powerW))
        : FIRST_ELASTICITY,
    )
    const errors = elasticities.map((elasticity, k) => elasticity * data.powerUncertainties[k]!)
    const atReference = meanElasticity(typical, data.referenceW)
    const spread = downweightOutliers(posterior, errors, ordinary)
    const next = believe(data, { spread, elasticity: atReference, elasticities }, belief)
    clouds = refineClouds(data, clouds, next === belief ? posterior : posteriorOf(clouds, next))
    belief = next
  }
  return posteriorOf(clouds, belief)
}

/** The linear part as an earlier round tells it, and what the candidates of each family make of it so far. */
interface Belief {
  readonly prepared: PreparedPart
  /** Log likelihoods, noise level by noise level, of each family's candidates that were asked for: they only ever become more. */
  readonly known: Float64Array[]
}

/** What a linear part makes of the candidates; where it is the one that was believed before, all that is known of them stays. */
function believe(
  data: CurveData,
  told: Pick<Parameters<typeof scoreBasis>[0], 'spread' | 'elasticity' | 'elasticities'>,
  before?: Belief,
): Belief {
  const part = scoreBasis({ ...data, ...told })
  if (before !== undefined && isSamePart(part, before.prepared.part)) return before
  return { prepared: preparePart(part, RUN_NOISE), known: [] }
}

/** A family's candidates: where in its unit cube they lie, and how they explain the runs (see `CurveCandidates`). */
interface FamilyCloud {
  readonly family: CurveFamily
  readonly cloud: PointCloud
  readonly misfits: Float64Array
  readonly centres: Float64Array
}

/** Candidates that the prior is first sampled with, shared out by the families' probabilities (a family gets at least a tenth). */
const FIRST_CANDIDATES = 1800
/** Rounds in which candidates gather where the posterior is, and how many are added in each. */
const ROUNDS = 2
const ADDED_CANDIDATES = 900
/** Candidates that must share the weight before others are drawn around them; a sharper posterior is tempered until they do. */
const LEAST_EFFECTIVE = 40

function countOf(family: CurveFamily): number {
  return Math.round(FIRST_CANDIDATES * Math.max(0.1, family.probability))
}

/** A family's cloud with candidates for the points that have none yet. */
function growCloud(
  data: CurveData,
  family: CurveFamily,
  cloud: PointCloud,
  known?: FamilyCloud,
): FamilyCloud {
  const runs = data.logRates.length
  const count = pointCount(cloud)
  const misfits = new Float64Array(count * runs)
  const centres = new Float64Array(count)
  if (known !== undefined) {
    misfits.set(known.misfits)
    centres.set(known.centres)
  }
  for (let c = known?.centres.length ?? 0; c < count; c++) {
    logRunRates(data.grid, family.curveAt(cubePoint(cloud, c)), misfits, c * runs)
    centres[c] = centreMisfit(data.logRates, misfits, c * runs)
  }
  return { family, cloud, misfits, centres }
}

/** Puts the misfits of one candidate, centred, in place of its ln rates; gives what was taken off. */
function centreMisfit(logRates: readonly number[], misfits: Float64Array, from: number): number {
  const runs = logRates.length
  let sum = 0
  for (let k = 0; k < runs; k++) {
    const misfit = logRates[k]! - misfits[from + k]!
    misfits[from + k] = misfit
    sum += misfit
  }
  const centre = sum / runs
  for (let k = 0; k < runs; k++) misfits[from + k]! -= centre
  return centre
}

/** Adds candidates to each family as its share of the posterior asks. */
function refineClouds(
  data: CurveData,
  clouds: readonly FamilyCloud[],
  posterior: CurvePosterior,
): readonly FamilyCloud[] {
  const all = temper(posterior.shares)
  let from = 0
  return clouds.map((known) => {
    const weights = all.subarray(from, from + known.centres.length)
    from += weights.length
    const count = Math.round(ADDED_CANDIDATES * weights.reduce((sum, weight) => sum + weight, 0))
    if (count < 0.02 * ADDED_CANDIDATES) return known
    return growCloud(data, known.family, refineCloud(known.cloud, weights, count), known)
  })
}

/** Weights raised to the largest power up to 1 that leaves enough candidates with a share; they add up to 1. */
function temper(weights: Float64Array): Float64Array {
  const raised = (power: number): Float64Array => {
    const out = weights.map((weight) => (weight > 0 ? weight ** power : 0))
    const total = out.reduce((sum, weight) => sum + weight, 0)
    return out.map((weight) => weight / total)
  }
  const effective = (some: Float64Array): number => 1 / some.reduce((sum, weight) => sum + weight * weight, 0)
  let low = 0.05
  let high = 1
  if (effective(weights) >= LEAST_EFFECTIVE) return raised(1)
  for (let i = 0; i < 8; i++) {
    const middle = (low + high) / 2
    if (effective(raised(middle)) >= LEAST_EFFECTIVE) low = middle
    else high = middle
  }
  return raised(low)
}

function posteriorOf(clouds: readonly FamilyCloud[], belief: Belief): CurvePosterior {
  const candidates = candidatesOf(clouds)
  const levels = RUN_NOISE.deviations.length
  const logs = new Float64Array(candidates.count * levels)
  const logPriors = new Float64Array(candidates.count)
  let first = 0
  clouds.forEach((cloud, f) => {
    const likelihoods = likelihoodsOf(belief, f, cloud)
    logs.set(likelihoods, first * levels)
    const logFamily = Math.log(cloud.family.probability)
    logPriors.set(
      cloud.cloud.logWeights.map((weight) => weight + logFamily),
      first,
    )
    first += cloud.centres.length
  })
  return { candidates, prepared: belief.prepared, logPriors, ...toProbabilities(logs, logPriors) }
}

/** The candidates of all families, one family after the other. */
function candidatesOf(clouds: readonly FamilyCloud[]): CurveCandidates {
  const curves = new Map<number, CandidateCurve>()
  const curveOf = (candidate: number): CandidateCurve => {
    const known = curves.get(candidate)
    if (known !== undefined) return known
    let c = candidate
    let f = 0
    while (c >= clouds[f]!.centres.length) c -= clouds[f++]!.centres.length
    const { family, cloud } = clouds[f]!
    const curve = family.curveAt(cubePoint(cloud, c))
    curves.set(candidate, curve)
    return curve
  }
  return {
    count: clouds.reduce((sum, { centres }) => sum + centres.length, 0),
    families: clouds.map(({ family, centres }) => ({ shape: family.shape, count: centres.length })),
    curveOf,
    misfits: concatenate(clouds.map(({ misfits }) => misfits)),
    centres: concatenate(clouds.map(({ centres }) => centres)),
  }
}

/** Log likelihoods of a family's candidates; only those of new ones are worked out. */
function likelihoodsOf({ prepared, known }: Belief, family: number, cloud: FamilyCloud): Float64Array {
  const levels = RUN_NOISE.deviations.length
  const count = cloud.centres.length
  const earlier = known[family] ?? new Float64Array(0)
  if (earlier.length === count * levels) return earlier
  const all = new Float64Array(count * levels)
  all.set(earlier)
  logLikelihoods(prepared, cloud.misfits, all, earlier.length / levels)
  known[family] = all
  return all
}

/** Mean elasticity at a power. */
function meanElasticity(curves: readonly CandidateCurve[], powerW: number): number {
  return curves.reduce((sum, curve) => sum + (elasticityAt(curve, powerW) ?? 0), 0) / curves.length
}

/** Enough for a mean. */
const TYPICAL_CURVES = 24

/** Elasticity that errors of noted powers are first judged by: that of most packages; common practice, no source. */
const FIRST_ELASTICITY = 0.6
/** No published sweep but one is steeper than this between two levels. */
const STEEPEST = 6
