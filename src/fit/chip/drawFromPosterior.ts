import { dot } from '../../numeric/dot.js'
import { stratifiedNormals } from '../../numeric/statistics/stratifiedNormals.js'
import type { CurvePosterior } from './curvePosterior.js'
import { drawCoefficients } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'

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
  const normals = stratifiedNormals(count, part.variances.length + part.basis.length, SEED)
  return pickPairs(posterior, count).map((pair, i) => drawOne(posterior, pair, normals[i]!))
}

/** Any: it only has to stay the same. */
const SEED = 20_251

/** The posterior's central curves, as if coefficients had no spread; for what needs a typical curve only. */
export function centralDraws(posterior: CurvePosterior, count: number): readonly CurveDraw[] {
  const { part } = posterior.prepared
  const nothing = new Float64Array(part.variances.length + part.basis.length)
  return pickPairs(posterior, count).map((pair) => drawOne(posterior, pair, nothing))
}

/** Curves of those draws: for what needs their shapes only. */
export function centralCurves(posterior: CurvePosterior, count: number): readonly CandidateCurve[] {
  const levels = posterior.prepared.noise.deviations.length
  return pickPairs(posterior, count).map((pair) => posterior.candidates[Math.floor(pair / levels)]!.curve)
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
  const known = KNOWN_PAIRS.get(posterior)
  if (known !== undefined) return known
  const { probabilities, candidates, prepared } = posterior
  const levels = prepared.noise.deviations.length
  const kept: number[] = []
  const centres = new Float64Array(candidates.length)
  for (let c = 0, from = 0; c < candidates.length; c++, from += levels) {
    let pair = from
    while (pair < from + levels && !(probabilities[pair]! > LEAST_PROBABILITY)) pair++
    if (pair === from + levels) continue
    kept.push(c)
    centres[c] = candidates[c]!.centre
  }
  kept.sort((a, b) => centres[a]! - centres[b]! || a - b)
  const pairs: number[] = []
  for (const c of kept) {
    for (let pair = c * levels; pair < (c + 1) * levels; pair++) {
      if (probabilities[pair]! > LEAST_PROBABILITY) pairs.push(pair)
    }
  }
  KNOWN_PAIRS.set(posterior, pairs)
  return pairs
}

/** A posterior is drawn from several times, and sorting its candidates costs more than the draws. */
const KNOWN_PAIRS = new WeakMap<CurvePosterior, readonly number[]>()

/** A pair below this matters to nothing. */
const LEAST_PROBABILITY = 1e-9

function drawOne(posterior: CurvePosterior, pair: number, normals: ArrayLike<number>): CurveDraw {
  const { prepared, candidates } = posterior
  const levels = posterior.prepared.noise.deviations.length
  const { curve, misfit, centre } = candidates[Math.floor(pair / levels)]!
  const coefficients = drawCoefficients(prepared, misfit, prepared.noise.deviations[pair % levels]!, normals)
  const residuals = misfit.map((value, k) => {
    return dot(prepared.part.basis[k]!, coefficients) - value
  })
  return { curve, logScale: centre + coefficients[0]!, coefficients, residuals }
}
