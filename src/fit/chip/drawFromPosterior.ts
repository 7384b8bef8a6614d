import { argsort } from '../../numeric/argsort.js'
import { dot } from '../../numeric/dot.js'
import { stratifiedNormals } from '../../numeric/statistics/stratifiedNormals.js'
import { type CurvePosterior, misfitOf } from './curvePosterior.js'
import { drawCoefficients } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'

/** One curve of the posterior, still as candidate and coefficients. */
export interface CurveDraw {
  /** Number of the candidate. */
  readonly candidate: number
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
  const normals = normalRows(count, part.variances.length + part.basis.length)
  return pickPairs(posterior, count).map((pair, i) => drawOne(posterior, pair, normals[i]!))
}

/** Any: it only has to stay the same. */
const SEED = 20_251

/** Rows that earlier fits drew. More columns leave the first ones as they are, so that longer rows serve as well. */
const KNOWN_ROWS = new Map<number, readonly Float64Array[]>()

function normalRows(count: number, columns: number): readonly Float64Array[] {
  const known = KNOWN_ROWS.get(count)
  if (known !== undefined && known[0]!.length >= columns) return known
  const rows = stratifiedNormals(count, columns, SEED)
  KNOWN_ROWS.set(count, rows)
  return rows
}

/** The posterior's central curves, as if coefficients had no spread; for what needs a typical curve only. */
export function centralDraws(posterior: CurvePosterior, count: number): readonly CurveDraw[] {
  const { part } = posterior.prepared
  const nothing = new Float64Array(part.variances.length + part.basis.length)
  return pickPairs(posterior, count).map((pair) => drawOne(posterior, pair, nothing))
}

/** Curves of those draws: for what needs their shapes only. */
export function centralCurves(posterior: CurvePosterior, count: number): readonly CandidateCurve[] {
  const levels = posterior.prepared.noise.deviations.length
  return pickPairs(posterior, count).map((pair) => posterior.candidates.curveOf(Math.floor(pair / levels)))
}

/** Pairs of candidate and noise level, as often as their probability asks, evenly spread along the candidates' slope. */
function pickPairs(posterior: CurvePosterior, count: number): readonly number[] {
  const { probabilities } = posterior
  const levels = posterior.prepared.noise.deviations.length
  const { order, shares } = probableCandidates(posterior)
  const picks: number[] = []
  let sum = 0
  let last = 0
  for (let place = 0; place < order.length; place++) {
    const from = order[place]! * levels
    const isPassed = (sum + shares[place]!) * count <= picks.length + 0.5 && place < order.length - 1
    if (isPassed) sum += shares[place]!
    for (let pair = from; !isPassed && pair < from + levels; pair++) {
      if (!(probabilities[pair]! > LEAST_PROBABILITY)) continue
      sum += probabilities[pair]!
      last = pair
      while (picks.length < count && sum * count > picks.length + 0.5) picks.push(pair)
    }
  }
  while (picks.length < count) picks.push(last)
  return picks
}

/** Candidates that matter, in the order of their scale, which goes with how their elasticity changes, and the probability of each. */
interface ProbableCandidates {
  readonly order: readonly number[]
  readonly shares: readonly number[]
}

function probableCandidates(posterior: CurvePosterior): ProbableCandidates {
  const known = KNOWN_CANDIDATES.get(posterior)
  if (known !== undefined) return known
  const { shares: sums, candidates } = posterior
  const kept: number[] = []
  const centres: number[] = []
  for (let c = 0; c < sums.length; c++) {
    if (!(sums[c]! > LEAST_PROBABILITY)) continue
    kept.push(c)
    centres.push(candidates.centres[c]!)
  }
  const order = Array.from(argsort(centres), (place) => kept[place]!)
  const found = { order, shares: order.map((c) => sums[c]!) }
  KNOWN_CANDIDATES.set(posterior, found)
  return found
}

/** A posterior is drawn from several times, and sorting its candidates costs more than the draws. */
const KNOWN_CANDIDATES = new WeakMap<CurvePosterior, ProbableCandidates>()

/** A pair below this matters to nothing. */
const LEAST_PROBABILITY = 1e-9

function drawOne(posterior: CurvePosterior, pair: number, normals: ArrayLike<number>): CurveDraw {
  const { prepared, candidates } = posterior
  const levels = prepared.noise.deviations.length
  const candidate = Math.floor(pair / levels)
  const misfit = misfitOf(posterior, candidate)
  const coefficients = drawCoefficients(prepared, misfit, prepared.noise.deviations[pair % levels]!, normals)
  const residuals = misfit.map((value, k) => {
    return dot(prepared.part.basis[k]!, coefficients) - value
  })
  return {
    candidate,
    curve: candidates.curveOf(candidate),
    logScale: candidates.centres[candidate]! + coefficients[0]!,
    coefficients,
    residuals,
  }
}
