import { elasticityAt } from '../../physics/chip/scoreCurve.js'
import type { CurveCandidate, CurvePosterior } from './curvePosterior.js'
import { downweightOutliers } from './downweightOutliers.js'
import { centralCurves } from './drawFromPosterior.js'
import { logRunRates, type ProfileGrid } from './gridProfiles.js'
import { logLikelihoods, type PreparedPart, preparePart } from './linearPart.js'
import { type CandidateCurve, type CurveFamily, PRIOR_DIMENSIONS } from './prior/curvePrior.js'
import { cubePoint, type PointCloud, priorCloud, refineCloud } from './refineCandidates.js'
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
  let belief = believe(data, new Float64Array(runs).fill(1), 0, new Array(runs).fill(FIRST_ELASTICITY))
  for (let round = 0; round < ROUNDS; round++) {
    const posterior = posteriorOf(clouds, belief)
    const typical = centralCurves(posterior, TYPICAL_CURVES)
    const elasticities = data.meansW.map((powerW) => Math.min(STEEPEST, meanElasticity(typical, powerW)))
    const errors = elasticities.map((elasticity, k) => elasticity * data.powerUncertainties[k]!)
    const atReference = meanElasticity(typical, data.referenceW)
    belief = believe(data, downweightOutliers(posterior, errors), atReference, elasticities)
    clouds = refineClouds(data, clouds, posteriorOf(clouds, belief))
  }
  return posteriorOf(clouds, belief)
}

/** The linear part as an earlier round tells it, and what the candidates of each family make of it so far. */
interface Belief {
  readonly prepared: PreparedPart
  /** Log likelihoods, noise level by noise level, of each family's candidates that were asked for: they only ever become more. */
  readonly known: Float64Array[]
}

function believe(
  data: CurveData,
  spread: Float64Array,
  elasticity: number,
  elasticities: readonly number[],
): Belief {
  const basis = scoreBasis({ ...data, spread, elasticity, elasticities })
  return { prepared: preparePart(basis, RUN_NOISE), known: [] }
}

/** A family's candidates, and where in its unit cube they lie. */
interface FamilyCloud {
  readonly family: CurveFamily
  readonly cloud: PointCloud
  readonly candidates: readonly CurveCandidate[]
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
  known: readonly CurveCandidate[] = [],
): FamilyCloud {
  const added = cloud.logits
    .slice(known.length)
    .map((logits) => judge(data, family.curveAt(cubePoint(logits))))
  return { family, cloud, candidates: [...known, ...added] }
}

function judge(data: CurveData, curve: CandidateCurve): CurveCandidate {
  const misfit = new Float64Array(data.logRates.length)
  logRunRates(data.grid, curve, misfit)
  let sum = 0
  for (let k = 0; k < misfit.length; k++) {
    misfit[k] = data.logRates[k]! - misfit[k]!
    sum += misfit[k]!
  }
  const centre = sum / misfit.length
  for (let k = 0; k < misfit.length; k++) misfit[k]! -= centre
  return { curve, misfit, centre }
}

/** Adds candidates to each family as its share of the posterior asks. */
function refineClouds(
  data: CurveData,
  clouds: readonly FamilyCloud[],
  posterior: CurvePosterior,
): readonly FamilyCloud[] {
  const levels = RUN_NOISE.deviations.length
  const all = temper(candidateProbabilities(posterior, levels))
  let from = 0
  return clouds.map(({ family, cloud, candidates }) => {
    const weights = all.subarray(from, from + candidates.length)
    from += candidates.length
    const count = Math.round(ADDED_CANDIDATES * weights.reduce((sum, weight) => sum + weight, 0))
    if (count < 0.02 * ADDED_CANDIDATES) return { family, cloud, candidates }
    return growCloud(data, family, refineCloud(cloud, weights, count), candidates)
  })
}

function candidateProbabilities(posterior: CurvePosterior, levels: number): Float64Array {
  const sums = new Float64Array(posterior.candidates.length)
  for (let c = 0, i = 0; c < sums.length; c++) {
    for (let s = 0; s < levels; s++, i++) sums[c]! += posterior.probabilities[i]!
  }
  return sums
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
  const candidates = clouds.flatMap((cloud) => cloud.candidates)
  const levels = RUN_NOISE.deviations.length
  const logs = new Float64Array(candidates.length * levels)
  const logPriors = new Float64Array(candidates.length)
  let at = 0
  clouds.forEach(({ family, cloud, candidates: own }, f) => {
    const likelihoods = likelihoodsOf(belief, f, own)
    const logFamily = Math.log(family.probability)
    for (let c = 0; c < own.length; c++) {
      const logPrior = logFamily + cloud.logWeights[c]!
      logPriors[at / levels] = logPrior
      for (let i = c * levels; i < (c + 1) * levels; i++, at++) logs[at] = likelihoods[i]! + logPrior
    }
  })
  return { candidates, prepared: belief.prepared, probabilities: toProbabilities(logs), logPriors }
}

/** Log likelihoods of a family's candidates; only those of new ones are worked out. */
function likelihoodsOf(
  { prepared, known }: Belief,
  family: number,
  candidates: readonly CurveCandidate[],
): Float64Array {
  const levels = RUN_NOISE.deviations.length
  const earlier = known[family] ?? new Float64Array(0)
  if (earlier.length === candidates.length * levels) return earlier
  const all = new Float64Array(candidates.length * levels)
  all.set(earlier)
  for (let i = earlier.length / levels; i < candidates.length; i++) {
    logLikelihoods(prepared, candidates[i]!.misfit, all, i * levels)
  }
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
