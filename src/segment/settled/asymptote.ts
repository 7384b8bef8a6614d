import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { type Normal, normalMixtureQuantiles } from './normalMixture.js'

/** Samples that share one relaxation, seconds since it began. */
export interface Section {
  readonly sinceS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Float64Array | Uint8Array
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

/**
 * A chassis has more time constants than one: with the one that is fitted goes another four times as long, in one of these shares of its
 * amplitude. Thermal networks of published packages have neighbouring time constants a factor of 3 to 10 apart.
 */
const SLOW_FACTOR = 4
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
  const sections = whole.map((section) => withSums(compress(section)))
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

/** A block of samples holds this share of what came before it: no relaxation that goes on bends within so little of its time. */
const BLOCK_SHARE = 1 / 100

/** Means of blocks, which tell as much about the course as the samples; a long section takes hardly longer than a short one. */
function compress(section: Section): Section {
  const starts = blockStarts(section.powerW.length)
  const count = starts.length
  if (count === section.powerW.length) return section
  const sinceS = new Float64Array(count)
  const powerW = new Float64Array(count)
  const weights = new Float64Array(count)
  for (let k = 0; k < count; k++) {
    let sinceSum = 0
    let powerSum = 0
    let weight = 0
    const end = starts[k + 1] ?? section.powerW.length
    for (let i = starts[k]!; i < end; i++) {
      weight += section.weights[i]!
      sinceSum += section.weights[i]! * section.sinceS[i]!
      powerSum += section.weights[i]! * section.powerW[i]!
    }
    weights[k] = weight
    if (weight === 0) continue
    sinceS[k] = sinceSum / weight
    powerW[k] = powerSum / weight
  }
  return { sinceS, powerW, weights }
}

function blockStarts(samples: number): readonly number[] {
  const starts: number[] = []
  for (let at = 0; at < samples; at += Math.max(1, Math.floor(BLOCK_SHARE * at))) starts.push(at)
  return starts
}

/** A section with its weighted sums of 1, of the power y and of its square, which no shape changes. */
interface SummedSection extends Section {
  readonly weight: number
  readonly y: number
  readonly yy: number
}

function withSums(section: Section): SummedSection {
  let weight = 0
  let y = 0
  let yy = 0
  for (let i = 0; i < section.powerW.length; i++) {
    const weighted = section.weights[i]! * section.powerW[i]!
    weight += section.weights[i]!
    y += weighted
    yy += weighted * section.powerW[i]!
  }
  return { ...section, weight, y, yy }
}

/** exp(-t / tau) with a share of exp(-t / (4 tau)), 1 at t = 0; tau Infinity: nothing relaxes. */
interface Shape {
  readonly tauS: number
  readonly slowShare: number
}

interface ShapeFit {
  readonly shape: Shape
  readonly levelW: number
  /** Inverse variance of the level, per sample variance. */
  readonly information: number
  /** Penalised sum of squares: residuals and amplitudes, W². */
  readonly misfit: number
  /** Logarithm of the volume that the amplitudes' prior shrinks to. */
  readonly logShrink: number
  /** Section by section. */
  readonly amplitudesW: readonly number[]
}

function fitShape(
  sections: readonly SummedSection[],
  shape: Shape,
  options: AsymptoteOptions,
): ShapeFit | undefined {
  const ridge = options.noiseVariance / Math.max(options.amplitudeW ** 2, options.noiseVariance)
  const sums = sections.map((section) => ({ ...section, ...shapeSums(section, shape) }))
  let information = 0
  let pull = 0
  let logShrink = 0
  for (const s of sums) {
    information += s.weight - (s.f * s.f) / (s.ff + ridge)
    pull += s.y - (s.f * s.fy) / (s.ff + ridge)
    logShrink -= 0.5 * Math.log1p(s.ff / ridge)
  }
  if (!(information > 1e-6)) return undefined
  const levelW = pull / information
  let misfit = 0
  const amplitudesW = sums.map((s) => {
    const along = s.fy - levelW * s.f
    misfit += s.yy - 2 * levelW * s.y + levelW * levelW * s.weight - (along * along) / (s.ff + ridge)
    return along / (s.ff + ridge)
  })
  return { shape, levelW, information, misfit: Math.max(0, misfit), logShrink, amplitudesW }
}

/** Weighted sums of the shape f, and of its products with itself and the power y. */
interface ShapeSums {
  readonly f: number
  readonly ff: number
  readonly fy: number
}

function shapeSums({ powerW, weights, sinceS }: Section, shape: Shape): ShapeSums {
  let f = 0
  let ff = 0
  let fy = 0
  if (!Number.isFinite(shape.tauS)) return { f, ff, fy }
  for (let i = 0; i < powerW.length; i++) {
    const value = shapeAt(shape, sinceS[i]!)
    const weighted = weights[i]! * value
    f += weighted
    ff += weighted * value
    fy += weighted * powerW[i]!
  }
  return { f, ff, fy }
}

function shapeAt({ tauS, slowShare }: Shape, sinceS: number): number {
  if (!Number.isFinite(tauS)) return 0
  const fast = Math.exp(-sinceS / tauS)
  if (slowShare === 0) return fast
  return (fast + slowShare * Math.exp(-sinceS / (SLOW_FACTOR * tauS))) / (1 + slowShare)
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
