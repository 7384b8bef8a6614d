import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import type { IndexRange } from '../indexRange.js'
import { type EdgeCost, edgeCost } from './edgeCost.js'
import { FAST_S, type Series } from './fitPiece.js'
import { endPower, isRise, type Part, SAME_SHARE, startPower } from './part.js'

export interface RefinedEdge {
  /** When the power leaves the earlier course, s, with a 90 % interval. */
  readonly startS: Estimate
  /** Time constant of the approach to the new course, s; 0 when it is sharp against the sampling. */
  readonly softS: number
  /** Power before the edge, W. */
  readonly fromW: number
}

/**
 * Time constants of a controller's approach that are tried, s: a sharp step, then a fine ladder, for an approach that is off by a
 * third moves the edge by a tenth of a second.
 */
const APPROACHES_S = [0.02, ...Array.from({ length: 19 }, (_, k) => 0.2 * 1.18 ** k)]
/** Longest approach beside a slow relaxation, which could else pass for one, s. */
const LONGEST_BESIDE_SLOW_S = 1.4
/** Point of chi-square with one degree of freedom (2.71 at 90 %): how far the profile may rise inside the interval. */
const CHI_SQUARE = ESTIMATE_EDGE ** 2

/**
 * When a part begins, to a fraction of a sample.
 *
 * A sample is the mean over the interval that ends at it, so a step inside an interval leaves an in-between sample that
 * tells where. Between the two courses the power goes as exp(-(t - edge) / approach). Both levels are fitted again for every edge
 * and approach on a fine grid; the interval is where the profile of the squared residuals stays below its least value plus 2.71
 * noise variances.
 *
 * @param noiseVariance - variance of a sample, already widened for autocorrelation, W²
 * @source profile likelihood: D. R. Cox, D. Oakes (1984), Analysis of Survival Data, section 3.3
 */
export function refineEdge(series: Series, before: Part, after: Part, noiseVariance: number): RefinedEdge {
  if (isKink(series, before, after)) return kinkEdge(series, before, after)
  const view = windowAround(series, before, after)
  const slow = after.pieces[0]!.tauS
  const approaches =
    Number.isFinite(slow) && slow >= FAST_S
      ? APPROACHES_S.filter((softS) => softS <= LONGEST_BESIDE_SLOW_S)
      : APPROACHES_S
  const costOf = edgeCost(series, view, before, after)
  const along = (edgesS: readonly number[]) => profileAlong(edgesS, approaches, costOf)
  const coarse = along(edgeGrid(series, before, after, slow))
  const profile = [...coarse, ...along(aroundBest(coarse))].sort((a, b) => a.edgeS - b.edgeS)
  const intervalS = series.timesS[after.from]! - series.timesS[after.from - 1]!
  const context = {
    noiseVariance,
    samples: view.to - view.from,
    leastHalfS: (series.averaged ? LEAST_ERROR * ESTIMATE_EDGE : 0.5 * ESTIMATE_LEVEL) * intervalS,
  }
  return { ...readProfile(profile, context), fromW: endPower(before, series) }
}

/** Whether power turns upward without a step: then no in-between sample tells where. */
function isKink(series: Series, before: Part, after: Part): boolean {
  const fromW = endPower(before, series)
  return isRise(after, series) && Math.abs(startPower(after, series) - fromW) < SAME_SHARE * fromW
}

/**
 * Standard error of a kink, as a share of the time constant that follows: by then the new course has gone a tenth of its way, which is what is left of a
 * fall after 2.3 time constants, so that the two can't be told apart before.
 */
const KINK_SHARE = 0.1

function kinkEdge(series: Series, before: Part, after: Part): RefinedEdge {
  const value = series.timesS[after.from - 1]!
  const firstBend = after.pieces.find(({ tauS }) => Number.isFinite(tauS))
  const sampleS = series.timesS[after.from]! - value
  const half = ESTIMATE_EDGE * Math.hypot(KINK_SHARE * (firstBend?.tauS ?? 0), sampleS)
  return {
    startS: { value, low: value - half, high: value + half, level: ESTIMATE_LEVEL },
    softS: 0,
    fromW: endPower(before, series),
  }
}

/**
 * Least standard error, as a share of a sampling interval: loggers stamp when they get round to it. Between two instants an edge is
 * anywhere alike.
 */
const LEAST_ERROR = 0.06
/** Points between the coarse ones on either side of the best. */
const FINE = 24

function aroundBest(coarse: readonly ProfilePoint[]): readonly number[] {
  const best = coarse.reduce((least, point, k) => (point.cost < coarse[least]!.cost ? k : least), 0)
  const lowS = coarse[Math.max(0, best - 2)]!.edgeS
  const highS = coarse[Math.min(coarse.length - 1, best + 2)]!.edgeS
  return Array.from({ length: FINE }, (_, k) => lowS + ((k + 0.5) * (highS - lowS)) / FINE)
}

/** Of so many neighbouring edges, one has all approaches tried; the others go on from their neighbour's best. */
const TRY_ALL_EVERY = 8

/** The best approach for each edge. Edges side by side have approaches that are alike. */
function profileAlong(
  edgesS: readonly number[],
  approaches: readonly number[],
  costOf: EdgeCost,
): readonly ProfilePoint[] {
  let best = 0
  return edgesS.map((edgeS, i) => {
    const costs = new Float64Array(approaches.length).fill(Number.NaN)
    const costAt = (k: number) => {
      if (Number.isNaN(costs[k]!)) costs[k] = costOf(edgeS, approaches[k]!)
      return costs[k]!
    }
    // The sharp step stands apart from the ladder, and is always tried.
    if (costAt(0) < costAt(best)) best = 0
    if (i % TRY_ALL_EVERY === 0) {
      for (let k = 0; k < approaches.length; k++) if (costAt(k) < costAt(best)) best = k
    } else {
      while (best + 1 < approaches.length && costAt(best + 1) < costAt(best)) best++
      while (best > 0 && costAt(best - 1) < costAt(best)) best--
    }
    return { edgeS, cost: costAt(best), softS: best === 0 ? 0 : approaches[best]! }
  })
}

interface ProfilePoint {
  readonly edgeS: number
  readonly cost: number
  readonly softS: number
}

interface ProfileContext {
  readonly noiseVariance: number
  readonly samples: number
  readonly leastHalfS: number
}

function readProfile(profile: readonly ProfilePoint[], context: ProfileContext): Omit<RefinedEdge, 'fromW'> {
  const best = profile.reduce((least, point) => (point.cost < least.cost ? point : least))
  const variance = Math.max(context.noiseVariance, best.cost / Math.max(context.samples - 4, 1))
  const inside = profile.filter((point) => point.cost <= best.cost + CHI_SQUARE * variance)
  // Between two instants every edge fits alike: the middle of the best ones is the answer.
  const equal = profile.filter((point) => point.cost <= best.cost + 0.02 * variance)
  const value = 0.5 * (equal[0]!.edgeS + equal.at(-1)!.edgeS)
  return {
    startS: {
      value,
      low: Math.min(inside[0]!.edgeS, value - context.leastHalfS),
      high: Math.max(inside.at(-1)!.edgeS, value + context.leastHalfS),
      level: ESTIMATE_LEVEL,
    },
    softS: best.softS,
  }
}

/** Samples that can tell: 15 s or 8 samples on either side, inside the two parts. */
function windowAround(series: Series, before: Part, after: Part): IndexRange {
  const edge = after.from
  const slow = after.pieces[0]!.tauS
  const reachS = Number.isFinite(slow) && slow >= FAST_S ? Math.max(15, slow) : 15
  let from = edge
  while (from > before.from && (edge - from < 8 || series.timesS[edge]! - series.timesS[from]! < reachS))
    from--
  let to = edge
  while (to < after.to && (to - edge < 8 || series.timesS[to]! - series.timesS[edge]! < reachS)) to++
  return { from: Math.max(from, before.from), to }
}

function edgeGrid(series: Series, before: Part, after: Part, slow: number): readonly number[] {
  const edge = after.from
  const intervalS = series.timesS[edge]! - series.timesS[edge - 1]!
  const slackS = Number.isFinite(slow) && slow >= FAST_S ? Math.max(0.3 * slow, 6 * intervalS) : 0
  const earliest = Math.max(before.from, edge - 4)
  const lowS = Math.max(
    series.timesS[before.from]!,
    Math.min(series.timesS[earliest]!, series.timesS[edge]! - slackS),
  )
  const latest = Math.min(after.to - 1, edge + 3)
  const highS = Math.min(
    series.timesS[after.to - 1]!,
    Math.max(series.timesS[latest]!, series.timesS[edge]! + slackS),
  )
  const count = Math.min(160, Math.max(20, Math.round(((highS - lowS) / intervalS) * 10)))
  return Array.from({ length: count + 1 }, (_, i) => lowS + ((highS - lowS) * i) / count)
}
