import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { condense, fitShape, type Section, type ShapeFit, type SummedSection, shapeAt } from './fitShape.js'
import { type Normal, normalMixtureQuantiles } from './normalMixture.js'

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
  /** Shares of the amplitude that a slow companion may have; a few about 0.1 when left out. */
  readonly slowShares?: readonly number[]
  /** Asymptotes below this are ruled out, W. */
  readonly leastW?: number
  /** And above this, W. */
  readonly mostW?: number
  /** Standard deviation of the settled level itself, as a share of it; TRUEST when left out. */
  readonly unsteadyShare?: number
}

export interface Asymptote {
  readonly towardW: Estimate
  readonly tauS: Estimate
}

/** Grid of time constants: a factor of 1.1 changes no cost by a tenth of a noise variance. */
const TAU_FACTOR = 1.1

/** A chassis has more time constants than one: with the one that is fitted goes a slow companion, in one of these shares of its amplitude. */
const SLOW_SHARES = [0, 0.15]
/** No power meter is truer than one part in 10,000. */
const TRUEST = 1e-4

/**
 * Where relaxing power tends to:
 *
 *   P = a + b_k (exp(-t / tau) + s exp(-t / (4 tau))) / (1 + s), a, tau and s shared by all sections, b_k each section's own
 *
 * Given tau the fit is linear; tau runs over a log grid with a flat prior in ln tau, b has a normal prior, a a flat
 * one, and b = 0 throughout (no relaxation) has its own share of prior probability. The answer is the mixture over all of these: its median, and
 * its 5 and 95 % points. With little curvature in the data many time constants fit, and the interval is as wide as that
 * says. What the fit leaves over in blocks of a twelfth of the samples widens the variance, so that a course with more than
 * one time constant doesn't pass for a precise one.
 *
 * @source Bayesian linear model given tau; averaging over models: J. A. Hoeting et al. (1999), Statistical Science 14, 382-417
 */
export function estimateAsymptote(whole: readonly Section[], options: AsymptoteOptions): Asymptote {
  const sections = whole.map(condense)
  const fits: ShapeFit[] = []
  for (let tauS = options.shortestS; tauS <= options.longestS * 1.0001; tauS *= TAU_FACTOR) {
    for (const slowShare of options.slowShares ?? SLOW_SHARES) {
      const fit = fitShape(sections, { tauS, slowShare }, options)
      if (fit && isAllowed(fit.levelW, options)) fits.push(fit)
    }
  }
  const flat = fitShape(sections, { tauS: Number.POSITIVE_INFINITY, slowShare: 0 }, options)!
  const best = [flat, ...fits].reduce((least, fit) => (fit.misfit < least.misfit ? fit : least))
  const factor = Math.max(options.correlationFactor, blockFactor(sections, best, options.noiseVariance))
  // When no relaxation is left, flat is all there is.
  const flatShare = fits.length === 0 ? 1 : options.flatShare
  const bent = fits.map((fit) => ({ fit, prior: (1 - flatShare) / fits.length }))
  return summarise([{ fit: flat, prior: flatShare }, ...bent], factor, options)
}

function isAllowed(levelW: number, { leastW = Number.NEGATIVE_INFINITY, mostW }: AsymptoteOptions): boolean {
  return levelW > leastW && levelW < (mostW ?? Number.POSITIVE_INFINITY)
}

/** Variance of block means over what independent samples would give: what the fit leaves over slowly. */
function blockFactor(sections: readonly SummedSection[], fit: ShapeFit, noiseVariance: number): number {
  let sum = 0
  let blocks = 0
  sections.forEach((section, k) => {
    const full = Math.max(8, section.weight / 12)
    let residual = 0
    let weight = 0
    for (let i = 0; i < section.powerW.length; i++) {
      const course = fit.levelW + fit.amplitudesW[k]! * shapeAt(fit.shape, section.sinceS[i]!)
      residual += section.weights[i]! * (section.powerW[i]! - course)
      weight += section.weights[i]!
      if (weight < full - 1e-9) continue
      sum += (residual * residual) / weight
      blocks++
      residual = 0
      weight = 0
    }
  })
  // Three parameters are fitted to the blocks.
  return blocks > 3 ? sum / (blocks - 3) / noiseVariance : 1
}

interface AsymptoteCandidate {
  readonly fit: ShapeFit
  readonly prior: number
}

function summarise(
  candidates: readonly AsymptoteCandidate[],
  factor: number,
  options: AsymptoteOptions,
): Asymptote {
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
      deviation: Math.hypot(
        Math.sqrt(variance / fit.information),
        (options.unsteadyShare ?? TRUEST) * fit.levelW,
      ),
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

/**
 * Standard error of a time constant, as a share, for what one or two exponentials leave out: the controller's own habits, and leakage that
 * feeds back. On generated worlds, where the constant is known in closed form.
 */
const TAU_MODEL_ERROR = 0.08

/** Median and 90 % interval of the time constant among the relaxing candidates. */
function tauEstimate(candidates: readonly AsymptoteCandidate[], weights: readonly number[]): Estimate {
  const bent = candidates
    .map(({ fit }, i) => ({ tauS: fit.shape.tauS, weight: weights[i]! }))
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
  const value = at(0.5)
  const widened = (end: number) => Math.hypot(Math.log(end / value), ESTIMATE_EDGE * TAU_MODEL_ERROR)
  return {
    value,
    low: value > 0 ? value * Math.exp(-widened(at((1 - ESTIMATE_LEVEL) / 2))) : 0,
    high: value > 0 ? value * Math.exp(widened(at((1 + ESTIMATE_LEVEL) / 2))) : 0,
    level: ESTIMATE_LEVEL,
  }
}
