import { ESTIMATE_LEVEL, type Estimate } from '../numeric/estimate.js'
import { type Normal, normalMixtureQuantiles } from './normalMixture.js'

/** Samples that share one relaxation, seconds since it began. */
export interface Section {
  readonly sinceS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Float64Array
}

export interface AsymptoteOptions {
  /** Variance of a sample, W²: what each sample scatters by. */
  readonly noiseVariance: number
  /** By how much correlation widens the variance of a mean, >= 1. */
  readonly correlationFactor: number
  /** Range of the time constant, s. */
  readonly shortestS: number
  readonly longestS: number
  /** Prior standard deviation of the amplitudes, W. */
  readonly amplitudeW: number
  /** Prior probability that nothing relaxes at all. */
  readonly flatShare: number
  /** Asymptotes below this are ruled out, W. */
  readonly leastW?: number
}

export interface Asymptote {
  readonly towardW: Estimate
  readonly tauS: Estimate
}

/** Grid of time constants: a factor of 1.1 changes no cost by a tenth of a noise variance. */
const TAU_FACTOR = 1.1

/**
 * A chassis has more time constants than one: beside the one that is fitted, another three times as long with 10 % of the amplitude goes
 * unseen in a trace. Thermal networks of published packages have neighbouring time constants a factor of 3 to 10 apart.
 */
const SLOW_FACTOR = 3
const SLOW_SHARE = 0.1
/** No power meter is truer than one part in 10,000. */
const TRUEST = 1e-4

/**
 * Where relaxing power tends to: P = a + b_k exp(-t / tau), a and tau shared by all sections, b_k each section's own.
 *
 * Given tau the fit is linear; tau runs over a log grid with a flat prior in ln tau, b has a normal prior, a a flat
 * one, and b = 0 throughout (no relaxation) has its own share of prior probability. The answer is the mixture over all of these: its median, and
 * its 5 and 95 % points. With little curvature in the data many time constants fit, and the interval is as wide as that
 * says. What the fit leaves over in blocks of a twelfth of the samples widens the variance, so that a course with more than
 * one time constant doesn't pass for a precise one.
 *
 * @source Bayesian linear model given tau; averaging over models: J. A. Hoeting et al. (1999), Statistical Science 14, 382-417
 */
export function estimateAsymptote(sections: readonly Section[], options: AsymptoteOptions): Asymptote {
  const fits: TauFit[] = []
  for (let tau = options.shortestS; tau <= options.longestS * 1.0001; tau *= TAU_FACTOR) {
    const fit = fitTau(sections, tau, options)
    if (fit && fit.levelW > (options.leastW ?? Number.NEGATIVE_INFINITY)) fits.push(fit)
  }
  const flat = fitTau(sections, Number.POSITIVE_INFINITY, options)!
  const best = [flat, ...fits].reduce((least, fit) => (fit.misfit < least.misfit ? fit : least))
  const factor = Math.max(options.correlationFactor, blockFactor(sections, best, options.noiseVariance))
  const bent = fits.map((fit) => ({ fit, prior: (1 - options.flatShare) / fits.length }))
  return summarise([{ fit: flat, prior: options.flatShare }, ...bent], factor, options)
}

interface TauFit {
  readonly tauS: number
  readonly levelW: number
  /** Inverse variance of the level, per sample variance. */
  readonly information: number
  /** Penalised sum of squares: residuals and amplitudes, W². */
  readonly misfit: number
  /** Logarithm of the volume that the amplitudes' prior shrinks to. */
  readonly logShrink: number
  readonly amplitudesW: readonly number[]
  /** Length of the last section, s. */
  readonly lengthS: number
}

function fitTau(sections: readonly Section[], tauS: number, options: AsymptoteOptions): TauFit | undefined {
  const ridge = options.noiseVariance / options.amplitudeW ** 2
  const sums = sections.map((section) => sectionSums(section, tauS))
  let information = 0
  let pull = 0
  let logShrink = 0
  for (const s of sums) {
    information += s.weight - (s.e * s.e) / (s.ee + ridge)
    pull += s.y - (s.e * s.ey) / (s.ee + ridge)
    logShrink -= 0.5 * Math.log1p(s.ee / ridge)
  }
  if (!(information > 1e-6)) return undefined
  const levelW = pull / information
  let misfit = 0
  const amplitudesW = sums.map((s) => {
    const along = s.ey - levelW * s.e
    misfit += s.yy - 2 * levelW * s.y + levelW * levelW * s.weight - (along * along) / (s.ee + ridge)
    return along / (s.ee + ridge)
  })
  const lengthS = sections.at(-1)!.sinceS.at(-1)!
  return { tauS, levelW, information, misfit: Math.max(0, misfit), logShrink, amplitudesW, lengthS }
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
  const s = { weight: 0, e: 0, ee: 0, y: 0, ey: 0, yy: 0 }
  const flat = !Number.isFinite(tauS)
  for (let i = 0; i < section.powerW.length; i++) {
    const w = section.weights[i]!
    const e = flat ? 0 : Math.exp(-section.sinceS[i]! / tauS)
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

/** Variance of block means over what independent samples would give: what the fit leaves over slowly. */
function blockFactor(sections: readonly Section[], fit: TauFit, noiseVariance: number): number {
  let sum = 0
  let blocks = 0
  sections.forEach((section, k) => {
    const n = section.powerW.length
    const size = Math.max(8, Math.ceil(n / 12))
    for (let from = 0; from + size <= n; from += size) {
      let residual = 0
      let weight = 0
      for (let i = from; i < from + size; i++) {
        const course = fit.levelW + fit.amplitudesW[k]! * Math.exp(-section.sinceS[i]! / fit.tauS)
        residual += section.weights[i]! * (section.powerW[i]! - course)
        weight += section.weights[i]!
      }
      if (weight === 0) continue
      sum += (residual * residual) / weight
      blocks++
    }
  })
  // Three parameters are fitted to the blocks.
  return blocks > 3 ? sum / (blocks - 3) / noiseVariance : 1
}

/** What a slower component that doesn't show in the fit may still have to go, W. */
function hiddenTail(fit: TauFit): number {
  if (!Number.isFinite(fit.tauS)) return 0
  const amplitudeW = Math.abs(fit.amplitudesW.at(-1)!)
  return SLOW_SHARE * amplitudeW * Math.exp(-fit.lengthS / (SLOW_FACTOR * fit.tauS))
}

interface Candidate {
  readonly fit: TauFit
  readonly prior: number
}

function summarise(candidates: readonly Candidate[], factor: number, options: AsymptoteOptions): Asymptote {
  const variance = options.noiseVariance * factor
  const least = Math.min(...candidates.map(({ fit }) => fit.misfit))
  const raw = candidates.map(
    ({ fit, prior }) =>
      (prior * Math.exp((least - fit.misfit) / (2 * variance) + fit.logShrink)) / Math.sqrt(fit.information),
  )
  const total = raw.reduce((sum, weight) => sum + weight, 0)
  const weights = raw.map((weight) => weight / total)
  const normals = candidates.map(
    ({ fit }, i): Normal => ({
      mean: fit.levelW,
      deviation: Math.hypot(Math.sqrt(variance / fit.information), hiddenTail(fit), TRUEST * fit.levelW),
      weight: weights[i]!,
    }),
  )
  const [low, middle, high] = normalMixtureQuantiles(normals, [
    (1 - ESTIMATE_LEVEL) / 2,
    0.5,
    (1 + ESTIMATE_LEVEL) / 2,
  ])
  return {
    towardW: { value: middle!, low: low!, high: high!, level: ESTIMATE_LEVEL },
    tauS: tauEstimate(candidates, weights),
  }
}

/** Median and 90 % interval of the time constant among the relaxing candidates. */
function tauEstimate(candidates: readonly Candidate[], weights: readonly number[]): Estimate {
  const bent = candidates
    .map(({ fit }, i) => ({ tauS: fit.tauS, weight: weights[i]! }))
    .filter(({ tauS }) => Number.isFinite(tauS))
  const total = bent.reduce((sum, { weight }) => sum + weight, 0)
  const at = (share: number) => {
    let sum = 0
    for (const { tauS, weight } of bent) {
      if (total > 0 && sum + weight >= share * total) {
        const inside = weight > 0 ? (share * total - sum) / weight : 0.5
        return tauS * TAU_FACTOR ** (inside - 0.5)
      }
      sum += weight
    }
    return bent.at(-1)?.tauS ?? 0
  }
  return {
    value: at(0.5),
    low: at((1 - ESTIMATE_LEVEL) / 2),
    high: at((1 + ESTIMATE_LEVEL) / 2),
    level: ESTIMATE_LEVEL,
  }
}
