import { InputError } from '../errors.js'
import { normalQuantile } from '../numeric/normalQuantile.js'
import { quantile } from '../numeric/quantile.js'
import { seededRandom } from '../numeric/random.js'
import type { Candidate } from './curvePrior.js'
import { drawCoefficients, logLikelihoods, type PreparedPart, preparePart } from './linearPart.js'
import { logRunRates, type ProfileGrid } from './runScores.js'
import { scoreBasis } from './scoreBasis.js'

/** What the score curve of a chip may be, as weights on candidates and noise levels. */
export interface CurvePosterior {
  readonly candidates: readonly Candidate[]
  /** ln rate of each run minus what a candidate says, centred, for every candidate. */
  readonly misfits: readonly Float64Array[]
  /** What was taken off each candidate's misfits to centre them: the ln scale before any coefficient. */
  readonly centres: Float64Array
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
}

/**
 * Weighs every candidate curve and noise level by how well it explains the runs, with scale, bend and sheet offsets
 * integrated out. Runs that stand far off all the others' curve are set back, and the weights found anew.
 *
 * @throws InputError `scores-unexplained` when no candidate gives every run a score
 */
export function findCurvePosterior(data: CurveData, candidates: readonly Candidate[]): CurvePosterior {
  const { misfits, centres } = misfitsOf(data, candidates)
  let spread = Float64Array.from(data.powerUncertainties, spreadFromPower)
  for (let pass = 0; ; pass++) {
    const prepared = preparePart(scoreBasis({ ...data, spread }), NOISE)
    const probabilities = weigh(candidates, misfits, prepared)
    const posterior = { candidates, misfits, centres, prepared, probabilities }
    const next = pass < MAX_PASSES ? setBackOutliers(posterior) : undefined
    if (next === undefined) return posterior
    spread = next
  }
}

/** One curve of the posterior, still as candidate and coefficients. */
export interface CurveDraw {
  readonly candidate: Candidate
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

/** Outliers are looked for this often at most: each pass can only set back more. */
const MAX_PASSES = 2
/** A run further off than this many robust standard deviations is set back: F. R. Hampel (1974), J. Am. Stat. Assoc. 69, 383. */
const OUTLIER_BOUND = 3.5
/** Robust scatter is never taken for less: a few runs may agree by chance. */
const OUTLIER_FLOOR = 0.003
/** With fewer runs nobody can say which one is off. */
const OUTLIER_MIN_RUNS = 5

function misfitsOf(
  data: CurveData,
  candidates: readonly Candidate[],
): { readonly misfits: readonly Float64Array[]; readonly centres: Float64Array } {
  const runs = data.logRates.length
  const all = new Float64Array(candidates.length * runs)
  const centres = new Float64Array(candidates.length)
  const misfits = candidates.map(({ curve }, c) => {
    const misfit = all.subarray(c * runs, (c + 1) * runs)
    logRunRates(data.grid, curve, misfit)
    let sum = 0
    for (let k = 0; k < runs; k++) {
      misfit[k] = data.logRates[k]! - misfit[k]!
      sum += misfit[k]!
    }
    const centre = sum / runs
    centres[c] = centre
    for (let k = 0; k < runs; k++) misfit[k]! -= centre
    return misfit
  })
  return { misfits, centres }
}

/** A power that is off by 1 % moves the score by about half of that: the usual elasticity. */
function spreadFromPower(uncertainty: number): number {
  return 1 + ((0.5 * uncertainty) / NOISE_MEDIAN) ** 2
}

function weigh(
  candidates: readonly Candidate[],
  misfits: readonly Float64Array[],
  prepared: PreparedPart,
): Float64Array {
  const levels = NOISE.deviations.length
  const logs = new Float64Array(candidates.length * levels)
  let highest = Number.NEGATIVE_INFINITY
  candidates.forEach((candidate, c) => {
    logLikelihoods(prepared, misfits[c]!, logs, c * levels)
    const logPrior = Math.log(candidate.weight)
    for (let i = c * levels; i < (c + 1) * levels; i++) {
      const value = logs[i]! + logPrior
      // A candidate that gives some run no score at all has an undefined misfit.
      logs[i] = Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY
      if (logs[i]! > highest) highest = logs[i]!
    }
  })
  if (highest === Number.NEGATIVE_INFINITY) {
    throw new InputError('scores-unexplained', 'No score curve gives every run a score at its power.', {
      remedy:
        'Check the run times and the power column: some run seems to have been scored at almost no power.',
    })
  }
  return normalise(logs, highest)
}

function normalise(logs: Float64Array, highest: number): Float64Array {
  let total = 0
  for (let i = 0; i < logs.length; i++) {
    logs[i] = Math.exp(logs[i]! - highest)
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
  const { probabilities, centres } = posterior
  const levels = NOISE.deviations.length
  const pairs: number[] = []
  for (let pair = 0; pair < probabilities.length; pair++) if (probabilities[pair]! > 1e-9) pairs.push(pair)
  const place = (pair: number): number => centres[Math.floor(pair / levels)]!
  return pairs.sort((a, b) => place(a) - place(b) || a - b)
}

function drawOne(posterior: CurvePosterior, pair: number, normals: ArrayLike<number>): CurveDraw {
  const { prepared, misfits, candidates, centres } = posterior
  const levels = NOISE.deviations.length
  const c = Math.floor(pair / levels)
  const misfit = misfits[c]!
  const coefficients = drawCoefficients(prepared, misfit, NOISE.deviations[pair % levels]!, normals)
  const residuals = misfit.map((value, k) => {
    const linear = prepared.part.basis[k]!.reduce((sum, b, j) => sum + b * coefficients[j]!, 0)
    return linear - value
  })
  return { candidate: candidates[c]!, logScale: centres[c]! + coefficients[0]!, coefficients, residuals }
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

/** New spreads that pull runs far off the curve down to the bound, or undefined when none is. */
function setBackOutliers(posterior: CurvePosterior): Float64Array<ArrayBuffer> | undefined {
  const { spread } = posterior.prepared.part
  if (spread.length < OUTLIER_MIN_RUNS) return undefined
  const residuals = meanResiduals(posterior)
  const scale = Math.max(OUTLIER_FLOOR, 1.4826 * quantile(residuals.map(Math.abs), 0.5))
  let found = false
  const next = Float64Array.from(spread, (value, k) => {
    const excess = Math.abs(residuals[k]!) / (OUTLIER_BOUND * scale * Math.sqrt(value))
    if (excess > 1) found = true
    // A run at the bound keeps its weight, one three times as far off counts for almost nothing.
    return excess > 1 ? value * excess ** 4 : value
  })
  return found ? next : undefined
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
