import { elasticityAt } from '../curves/scoreCurve.js'
import { InputError } from '../errors.js'
import { normalQuantile } from '../numeric/normalQuantile.js'
import { quantile } from '../numeric/quantile.js'
import { seededRandom } from '../numeric/random.js'
import { type CandidateCurve, type CurveFamily, PRIOR_DIMENSIONS } from './curvePrior.js'
import { drawCoefficients, logLikelihoods, type PreparedPart, preparePart } from './linearPart.js'
import { cubePoint, type PointCloud, priorCloud, refineCloud } from './refineCandidates.js'
import type { RunHeat } from './runHeat.js'
import { logRunRates, type ProfileGrid } from './runScores.js'
import { scoreBasis } from './scoreBasis.js'

/** A candidate curve and how it explains the runs. */
export interface Candidate {
  readonly curve: CandidateCurve
  /** ln rate of each run minus what the curve says, centred. */
  readonly misfit: Float64Array
  /** What was taken off to centre: the ln scale before any coefficient. */
  readonly centre: number
}

/** What the score curve of a chip may be, as weights on candidates and noise levels. */
export interface CurvePosterior {
  readonly candidates: readonly Candidate[]
  readonly prepared: PreparedPart
  /** Probability of each pair of candidate and noise level; the noise level runs fastest. */
  readonly probabilities: Float64Array
}

/** Everything the posterior needs to know of the runs. */
export interface CurveData {
  readonly grid: ProfileGrid
  /** ln rate of each run: ln score, or its negative when lower is better. */
  readonly logRates: readonly number[]
  /** Number of each run's sheet, counted from 0. */
  readonly sheets: readonly number[]
  /** Relative standard deviation of each run's power beyond the run scatter. */
  readonly powerUncertainties: readonly number[]
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
  let belief: Belief = {
    spread: new Float64Array(data.logRates.length).fill(1),
    elasticity: 0,
  }
  for (let round = 0; round < ROUNDS; round++) {
    const posterior = posteriorOf(data, clouds, belief)
    belief = { elasticity: meanElasticity(posterior), spread: setBackOutliers(posterior) }
    clouds = refineClouds(data, clouds, posteriorOf(data, clouds, belief))
  }
  return posteriorOf(data, clouds, belief)
}

/** What the linear part takes from an earlier round. */
interface Belief {
  readonly spread: Float64Array
  readonly elasticity: number
}

/** A family's candidates, and where in its unit cube they lie. */
interface FamilyCloud {
  readonly family: CurveFamily
  readonly cloud: PointCloud
  readonly candidates: readonly Candidate[]
}

/** One curve of the posterior, still as candidate and coefficients. */
export interface CurveDraw {
  readonly curve: CandidateCurve
  readonly logScale: number
  readonly coefficients: Float64Array
  /** Fitted minus measured ln rate of each run. */
  readonly residuals: Float64Array
}

/**
 * Draws from the posterior, as many of each candidate and noise level as their probability asks.
 *
 * Margins of the normal coefficients are stratified, so a few hundred draws give steady quantiles; the seed is fixed.
 */
export function drawFromPosterior(posterior: CurvePosterior, count: number): readonly CurveDraw[] {
  const { part } = posterior.prepared
  const normals = stratifiedNormals(count, part.variances.length + part.basis.length)
  return pickPairs(posterior, count).map((pair, i) => drawOne(posterior, pair, normals[i]!))
}

/** Posterior probability of each noise level (relative standard deviation). */
export function noiseProbabilities(posterior: CurvePosterior): {
  readonly deviations: readonly number[]
  readonly weights: readonly number[]
} {
  const { deviations } = NOISE
  const weights = deviations.map((_, s) => {
    let sum = 0
    for (let i = s; i < posterior.probabilities.length; i += deviations.length)
      sum += posterior.probabilities[i]!
    return sum
  })
  return { deviations, weights }
}

/** Run-to-run scatter before any data: half of all machines below 0.4 %, nearly all between 0.1 and 1.6 %; common practice, no source. */
const NOISE_MEDIAN = 0.004
const NOISE_LOG_DEVIATION = 0.8
/** Noise levels in standard deviations of the prior: 0.1 to 8 %, close enough for sums to stand for integrals. */
const NOISE_STEPS = Array.from({ length: 13 }, (_, i) => -1.75 + i * 0.46)
const NOISE = {
  deviations: NOISE_STEPS.map((z) => NOISE_MEDIAN * Math.exp(z * NOISE_LOG_DEVIATION)),
  logWeights: NOISE_STEPS.map((z) => (-z * z) / 2),
}

/** Candidates that the prior is first sampled with, shared out by the families' probabilities (a family gets at least a tenth). */
const FIRST_CANDIDATES = 1200
/** Rounds in which candidates gather where the posterior is, and how many are added in each. */
const ROUNDS = 2
const ADDED_CANDIDATES = 600
/** Candidates that must share the weight before others are drawn around them; a sharper posterior is tempered until they do. */
const LEAST_EFFECTIVE = 40

/** A run further off than this many robust standard deviations is set back: F. R. Hampel (1974), J. Am. Stat. Assoc. 69, 383. */
const OUTLIER_BOUND = 3.5
/** Robust scatter is never taken for less: a few runs may agree by chance. */
const OUTLIER_FLOOR = 0.003
/** With fewer runs nobody can say which one is off. */
const OUTLIER_MIN_RUNS = 5

function countOf(family: CurveFamily): number {
  return Math.round(FIRST_CANDIDATES * Math.max(0.1, family.probability))
}

/** A family's cloud with candidates for the points that have none yet. */
function growCloud(
  data: CurveData,
  family: CurveFamily,
  cloud: PointCloud,
  known: readonly Candidate[] = [],
): FamilyCloud {
  const added = cloud.logits
    .slice(known.length)
    .map((logits) => judge(data, family.curveAt(cubePoint(logits))))
  return { family, cloud, candidates: [...known, ...added] }
}

function judge(data: CurveData, curve: CandidateCurve): Candidate {
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
  const levels = NOISE.deviations.length
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
  for (let i = 0; i < posterior.probabilities.length; i++) {
    sums[Math.floor(i / levels)]! += posterior.probabilities[i]!
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

function posteriorOf(data: CurveData, clouds: readonly FamilyCloud[], belief: Belief): CurvePosterior {
  const prepared = preparePart(scoreBasis({ ...data, ...belief }), NOISE)
  const candidates = clouds.flatMap((cloud) => cloud.candidates)
  const levels = NOISE.deviations.length
  const logs = new Float64Array(candidates.length * levels)
  let at = 0
  for (const { family, cloud, candidates: own } of clouds) {
    own.forEach(({ misfit }, i) => {
      logLikelihoods(prepared, misfit, logs, at)
      const logPrior = Math.log(family.probability) + cloud.logWeights[i]!
      for (const end = at + levels; at < end; at++) logs[at]! += logPrior
    })
  }
  return { candidates, prepared, probabilities: toProbabilities(logs) }
}

function toProbabilities(logs: Float64Array): Float64Array {
  let highest = Number.NEGATIVE_INFINITY
  for (const value of logs) if (value > highest) highest = value
  if (highest === Number.NEGATIVE_INFINITY) {
    throw new InputError('scores-unexplained', 'No score curve gives every run a score at its power.', {
      remedy:
        'Check the run times and the power column: some run seems to have been scored at almost no power.',
    })
  }
  let total = 0
  for (let i = 0; i < logs.length; i++) {
    // A candidate that gives some run no score at all has an undefined misfit.
    logs[i] = Number.isNaN(logs[i]!) ? 0 : Math.exp(logs[i]! - highest)
    total += logs[i]!
  }
  for (let i = 0; i < logs.length; i++) logs[i]! /= total
  return logs
}

/** Pairs of candidate and noise level, as often as their probability asks, evenly spread along the candidates' slope. */
function pickPairs(posterior: CurvePosterior, count: number): readonly number[] {
  const { probabilities } = posterior
  const picks: number[] = []
  let sum = 0
  let last = 0
  for (const pair of probablePairs(posterior)) {
    sum += probabilities[pair]!
    last = pair
    while (picks.length < count && sum * count > picks.length + 0.5) picks.push(pair)
  }
  while (picks.length < count) picks.push(last)
  return picks
}

/** Pairs that matter, in the order of their candidates' scale, which goes with how their elasticity changes. */
function probablePairs(posterior: CurvePosterior): readonly number[] {
  const { probabilities, candidates } = posterior
  const levels = NOISE.deviations.length
  const pairs: number[] = []
  for (let pair = 0; pair < probabilities.length; pair++) if (probabilities[pair]! > 1e-9) pairs.push(pair)
  const place = (pair: number): number => candidates[Math.floor(pair / levels)]!.centre
  return pairs.sort((a, b) => place(a) - place(b) || a - b)
}

function drawOne(posterior: CurvePosterior, pair: number, normals: ArrayLike<number>): CurveDraw {
  const { prepared, candidates } = posterior
  const levels = NOISE.deviations.length
  const { curve, misfit, centre } = candidates[Math.floor(pair / levels)]!
  const coefficients = drawCoefficients(prepared, misfit, NOISE.deviations[pair % levels]!, normals)
  const residuals = misfit.map((value, k) => {
    const linear = prepared.part.basis[k]!.reduce((sum, b, j) => sum + b * coefficients[j]!, 0)
    return linear - value
  })
  return { curve, logScale: centre + coefficients[0]!, coefficients, residuals }
}

/** Columns of normal quantiles, each shuffled on its own: every margin is exact, and a fixed seed repeats the draws. */
function stratifiedNormals(count: number, columns: number): readonly Float64Array[] {
  const random = seededRandom(20_251)
  const rows = Array.from({ length: count }, () => new Float64Array(columns))
  const values = rows.map((_, i) => normalQuantile((i + 0.5) / count))
  for (let j = 0; j < columns; j++) {
    for (let i = count - 1; i > 0; i--) {
      const other = random.integer(i + 1)
      const kept = values[i]!
      values[i] = values[other]!
      values[other] = kept
    }
    for (let i = 0; i < count; i++) rows[i]![j] = values[i]!
  }
  return rows
}

/** Elasticity at the reference power, posterior mean. */
function meanElasticity(posterior: CurvePosterior): number {
  const picks = pickPairs(posterior, 24)
  const levels = NOISE.deviations.length
  return picks.reduce((sum, pair) => {
    const { curve } = posterior.candidates[Math.floor(pair / levels)]!
    return sum + (elasticityAt(curve, curve.referenceW) ?? 0) / picks.length
  }, 0)
}

/** Spreads that pull runs far off the curve down to the bound. */
function setBackOutliers(posterior: CurvePosterior): Float64Array {
  const { spread } = posterior.prepared.part
  if (spread.length < OUTLIER_MIN_RUNS) return spread
  const residuals = meanResiduals(posterior)
  const scale = Math.max(OUTLIER_FLOOR, 1.4826 * quantile(residuals.map(Math.abs), 0.5))
  return spread.map((value, k) => {
    const excess = Math.abs(residuals[k]!) / (OUTLIER_BOUND * scale * Math.sqrt(value))
    // A run at the bound keeps its weight, one three times as far off counts for almost nothing.
    return value * Math.max(1, excess) ** 4
  })
}

/** Fitted minus measured ln rate of each run, posterior mean. */
function meanResiduals(posterior: CurvePosterior): Float64Array {
  const { part } = posterior.prepared
  const nothing = new Float64Array(part.variances.length + part.basis.length)
  const sum = new Float64Array(part.basis.length)
  const picks = pickPairs(posterior, 24)
  for (const pair of picks) {
    drawOne(posterior, pair, nothing).residuals.forEach((value, k) => {
      sum[k]! += value / picks.length
    })
  }
  return sum
}
