import type { Estimate } from '../numeric/estimate.js'
import { normalQuantile } from '../numeric/normalQuantile.js'

/** Samples of one uninterrupted stretch, seconds since it began to relax. */
export interface Section {
  readonly sinceS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Float64Array
}

export interface Asymptote {
  readonly towardW: Estimate
  readonly tauS: Estimate
  /** How far above the asymptote the last section ends, W. */
  readonly leftW: number
  /** How far above the asymptote the last section begins, W. */
  readonly amplitudeW: number
}

/**
 * Where relaxing power tends to: P = a + b_k exp(-t / tau), a and tau shared by all sections, b_k each section's own.
 *
 * Given tau the fit is linear; tau runs over a log grid with a flat prior in ln tau, a has a flat prior above
 * `leastW`. The answer is the mixture over the grid: its mean, and its 5 and 95 % points. With little curvature in the data many time constants fit, and the
 * interval is as wide as that says.
 *
 * @param noiseVariance - variance of a sample widened for autocorrelation, W²
 */
export function estimateAsymptote(
  sections: readonly Section[],
  noiseVariance: number,
  limits: { readonly shortestS: number; readonly longestS: number; readonly leastW: number },
): Asymptote {
  const fits: TauFit[] = []
  for (let tau = limits.shortestS; tau <= limits.longestS * 1.0001; tau *= 1.07) {
    const fit = fitTau(sections, tau)
    if (fit) fits.push(fit)
  }
  const least = Math.min(...fits.map((fit) => fit.cost))
  const samples = sections.reduce((sum, section) => sum + section.powerW.length, 0)
  const variance = Math.max(noiseVariance, least / Math.max(1, samples - sections.length - 2))
  const weights = fits.map((fit) => {
    const below = Math.max(0, limits.leastW - fit.levelW) / Math.sqrt(variance / fit.information)
    return Math.exp((least - fit.cost) / (2 * variance) - 0.5 * below * below) / Math.sqrt(fit.information)
  })
  return summarise(fits, weights, variance)
}

interface TauFit {
  readonly tauS: number
  readonly levelW: number
  /** Inverse variance of the level per unit of sample variance. */
  readonly information: number
  readonly cost: number
  readonly amplitudeW: number
  readonly leftW: number
}

function fitTau(sections: readonly Section[], tauS: number): TauFit | undefined {
  const sums = sections.map((section) => sectionSums(section, tauS))
  let information = 0
  let pull = 0
  for (const s of sums) {
    information += s.weight - (s.e * s.e) / s.ee
    pull += s.y - (s.e * s.ey) / s.ee
  }
  if (!(information > 1e-6)) return undefined
  const levelW = pull / information
  let cost = 0
  let amplitudeW = 0
  for (const s of sums) {
    amplitudeW = (s.ey - levelW * s.e) / s.ee
    cost += s.yy - 2 * levelW * s.y + levelW * levelW * s.weight - amplitudeW * (s.ey - levelW * s.e)
  }
  const last = sections.at(-1)!
  const leftW = amplitudeW * Math.exp(-last.sinceS.at(-1)! / tauS)
  return { tauS, levelW, information, cost: Math.max(0, cost), amplitudeW, leftW }
}

interface SectionSums {
  weight: number
  e: number
  ee: number
  y: number
  ey: number
  yy: number
}

function sectionSums(section: Section, tauS: number): SectionSums {
  const s = { weight: 0, e: 0, ee: 1e-12, y: 0, ey: 0, yy: 0 }
  for (let i = 0; i < section.powerW.length; i++) {
    const w = section.weights[i]!
    const e = Math.exp(-section.sinceS[i]! / tauS)
    const y = section.powerW[i]!
    s.weight += w
    s.e += w * e
    s.ee += w * e * e
    s.y += w * y
    s.ey += w * e * y
    s.yy += w * y * y
  }
  return s
}

function summarise(fits: readonly TauFit[], weights: readonly number[], variance: number): Asymptote {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const mean = (read: (fit: TauFit) => number) =>
    fits.reduce((sum, fit, i) => sum + (weights[i]! * read(fit)) / total, 0)
  const z = normalQuantile(0.95)
  const level = mixtureQuantiles(
    fits.map((fit) => ({ mean: fit.levelW, deviation: Math.sqrt(variance / fit.information) })),
    weights,
  )
  const taus = cumulativeTau(fits, weights, total)
  return {
    towardW: { value: level.middle, low: level.low, high: level.high, level: 0.9 },
    tauS: { value: Math.exp(mean((fit) => Math.log(fit.tauS))), low: taus.low, high: taus.high, level: 0.9 },
    leftW: mean((fit) => fit.leftW) + 0 * z,
    amplitudeW: mean((fit) => fit.amplitudeW),
  }
}

function cumulativeTau(
  fits: readonly TauFit[],
  weights: readonly number[],
  total: number,
): { low: number; high: number } {
  let sum = 0
  let low = fits[0]!.tauS
  let high = fits.at(-1)!.tauS
  let lowSet = false
  fits.forEach((fit, i) => {
    sum += weights[i]! / total
    if (!lowSet && sum >= 0.05) {
      low = fit.tauS / Math.sqrt(1.07)
      lowSet = true
    }
    if (sum <= 0.95) high = (fits[i + 1]?.tauS ?? fit.tauS) * Math.sqrt(1.07)
  })
  return { low, high }
}

interface Normal {
  readonly mean: number
  readonly deviation: number
}

/** 5, 50 and 95 % points of a mixture of normal distributions, by bisection. */
function mixtureQuantiles(
  normals: readonly Normal[],
  weights: readonly number[],
): { low: number; middle: number; high: number } {
  const kept = normals
    .map((normal, i) => ({ ...normal, weight: weights[i]! }))
    .filter((normal) => normal.weight > 0)
  const total = kept.reduce((sum, normal) => sum + normal.weight, 0)
  const below = (x: number) =>
    kept.reduce(
      (sum, normal) =>
        sum + (normal.weight / total) * normalProbability((x - normal.mean) / normal.deviation),
      0,
    )
  const least = Math.min(...kept.map((normal) => normal.mean - 8 * normal.deviation))
  const most = Math.max(...kept.map((normal) => normal.mean + 8 * normal.deviation))
  const at = (share: number) => {
    let low = least
    let high = most
    for (let i = 0; i < 60; i++) {
      const middle = 0.5 * (low + high)
      if (below(middle) < share) low = middle
      else high = middle
    }
    return 0.5 * (low + high)
  }
  return { low: at(0.05), middle: at(0.5), high: at(0.95) }
}

/** Normal distribution function, logistic-free rational form; error below 1.5e-7. @source Abramowitz and Stegun 26.2.17 */
function normalProbability(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z))
  const poly =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  const tail = 0.3989422804014327 * Math.exp(-0.5 * z * z) * poly
  return z >= 0 ? 1 - tail : tail
}
