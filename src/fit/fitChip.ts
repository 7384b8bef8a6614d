import type { Chip, WeightedCurve, Workload } from '../curves/chip.js'
import { InputError } from '../errors.js'
import type { Estimate } from '../numeric/estimate.js'
import { ESTIMATE_LEVEL } from '../numeric/estimate.js'
import { normalQuantile } from '../numeric/normalQuantile.js'
import { quantile, weightedQuantiles } from '../numeric/quantile.js'
import { seededRandom } from '../numeric/random.js'
import { studentTQuantile } from '../numeric/studentT.js'
import type { Warning } from '../warnings.js'
import { drawCoefficients, logLikelihoods, type PreparedPart, preparePart } from './curvePosterior.js'
import { type Candidate, curvePrior } from './curvePrior.js'
import type { PowerProfile } from './profileRun.js'
import { gridProfiles, logRunRates } from './runScores.js'
import { bendFromCoefficients, scoreBasis } from './scoreBasis.js'

/** A score and the power that earned it. */
export interface ScoredRun {
  /** Runs of one sheet are one machine; sheets of a chip are pooled. */
  readonly sheet: string
  readonly startS: number
  /** Null when the run's end is not known. */
  readonly endS: number | null
  /** In the workload's unit, > 0. */
  readonly score: number
  readonly profile: PowerProfile
  /** Relative uncertainty (standard deviation) of the run's power: 0 for a log, a few per cent for levels written by hand. */
  readonly powerUncertainty?: number
}

/** One run as fitted; `fittedScore` is what the curve says for its power. */
export interface FittedRun {
  readonly sheet: string
  readonly startS: number
  readonly endS: number | null
  readonly meanW: number
  readonly score: number
  readonly fittedScore: number
  /** Standard deviation given to this run over that of the others; above 1 the run was set back as doubtful. */
  readonly spread: number
}

export interface ChipFit {
  readonly chip: Chip
  readonly runs: readonly FittedRun[]
  /** Run-to-run scatter (relative standard deviation). */
  readonly scatter: Estimate
  /** Posterior probability of each family of shapes. */
  readonly families: readonly { readonly shape: string; readonly probability: number }[]
  readonly warnings: readonly Warning[]
}

/**
 * Posterior of the score curve of one chip and workload from scored runs.
 *
 *   ln score_k = ln scale + ln mean over run k of r(P(t)) + bend + sheet offset + noise_k
 *
 * Candidate curves fill a prior that is grounded in voltage-frequency tables; scale, bend, offsets and noise are integrated
 * out in closed form or over a small grid, so the answer needs no iterations and no random search.
 *
 * @param runs - at least one; from one or more sheets of the same chip and workload
 * @param demandW - power at which the workload asked for no more, when that was seen
 * @throws InputError `runs-missing`, `score-not-positive`
 * @source GUM-style propagation replaced by a posterior: A. Gelman et al. (2013), Bayesian Data Analysis, chapters 3 and 10
 */
export function fitChip(options: {
  readonly name: string
  readonly workload: Workload
  readonly runs: readonly ScoredRun[]
  readonly demandW?: number | null
}): ChipFit {
  const { runs, workload } = options
  requireRuns(runs)
  const measuredRangeW = measuredRange(runs)
  const posterior = findPosterior(options, measuredRangeW)
  const draws = drawCurves(posterior)
  const fitted = fittedRuns(posterior, draws, options)
  const chip: Chip = {
    name: options.name,
    workload,
    measuredRangeW,
    draws: draws.map((draw) => draw.member),
    demandW: options.demandW ?? null,
    workPerRun: workPerRun(runs, workload),
  }
  return {
    chip,
    runs: fitted,
    scatter: scatterOf(posterior),
    families: familyProbabilities(posterior),
    warnings: warningsOf(fitted, measuredRangeW),
  }
}

/** How many curves represent the posterior: quantiles at 5 and 95 % are then good to about 1 % in probability. */
const DRAWS = 240

interface Posterior {
  readonly candidates: readonly Candidate[]
  readonly referenceW: number
  /** ln score of each run minus ln rate under a candidate, for every candidate. */
  readonly misfits: readonly Float64Array[]
  readonly prepared: PreparedPart
  /** Probability of each pair of candidate and noise level, candidates first. */
  readonly probabilities: Float64Array
  readonly spread: Float64Array
}

interface Draw {
  readonly member: WeightedCurve
  /** ln rate of every run, sheet offset included. */
  readonly logRates: Float64Array
}

function requireRuns(runs: readonly ScoredRun[]): void {
  if (runs.length === 0) {
    throw new InputError(
      'runs-missing',
      'At least one scored run was needed to fit a score curve, got none.',
      {
        remedy: 'Add runs with scores to the test sheet.',
      },
    )
  }
  for (const run of runs) {
    if (!(run.score > 0 && Number.isFinite(run.score))) {
      throw new InputError('score-not-positive', `A score above 0 was needed, got ${run.score}.`)
    }
  }
}

/** Powers that runs spent at least a twentieth of their time below and above: single odd samples don't widen it. */
function measuredRange(runs: readonly ScoredRun[]): readonly [number, number] {
  const ends = runs.map(({ profile }) => weightedQuantiles(profile.powersW, profile.secondsS, [0.05, 0.95]))
  return [Math.min(...ends.map((end) => end[0]!)), Math.max(...ends.map((end) => end[1]!))]
}

function findPosterior(
  options: {
    readonly workload: Workload
    readonly runs: readonly ScoredRun[]
    readonly demandW?: number | null
  },
  measuredRangeW: readonly [number, number],
): Posterior {
  const { runs, workload } = options
  const grid = gridProfiles(runs.map((run) => run.profile))
  const referenceW = Math.sqrt(measuredRangeW[0] * measuredRangeW[1])
  const candidates = curvePrior({ referenceW, topW: options.demandW ?? null, highestW: measuredRangeW[1] })
  const logScores = runs.map((run) => logRateOf(run.score, workload))
  const misfits = candidates.map(({ curve }) => {
    const misfit = logRunRates(grid, curve)
    for (let k = 0; k < misfit.length; k++) misfit[k] = logScores[k]! - misfit[k]!
    return misfit
  })
  const noise = noiseGrid()
  let spread = Float64Array.from(runs, (run) => 1 + ((0.5 * (run.powerUncertainty ?? 0)) / NOISE_MEDIAN) ** 2)
  for (let pass = 0; ; pass++) {
    const part = scoreBasis({ grid, referenceW, sheets: sheetNumbers(runs), spread })
    const prepared = preparePart(part, noise)
    const posterior = {
      candidates,
      referenceW,
      misfits,
      prepared,
      spread,
      probabilities: weigh(candidates, misfits, prepared),
    }
    if (pass === 2 || runs.length < 4) return posterior
    const next = setBackOutliers(posterior, spread)
    if (next === undefined) return posterior
    spread = next
  }
}

function logRateOf(score: number, workload: Workload): number {
  return workload.better === 'lower' ? -Math.log(score) : Math.log(score)
}

function sheetNumbers(runs: readonly ScoredRun[]): readonly number[] {
  const sheets = [...new Set(runs.map((run) => run.sheet))]
  return runs.map((run) => sheets.indexOf(run.sheet))
}

/** Run-to-run scatter before any data: around 0.4 %, most between 0.1 and 1.5 %; a quiet machine's runs, common practice, no source. */
const NOISE_MEDIAN = 0.004
const NOISE_LOG_DEVIATION = 0.8
const NOISE_LEVELS = 13

function noiseGrid(): { readonly deviations: readonly number[]; readonly logWeights: readonly number[] } {
  const steps = Array.from({ length: NOISE_LEVELS }, (_, i) => -1.75 + (i * 5.5) / (NOISE_LEVELS - 1))
  return {
    deviations: steps.map((z) => NOISE_MEDIAN * Math.exp(z * NOISE_LOG_DEVIATION)),
    logWeights: steps.map((z) => (-z * z) / 2),
  }
}

function weigh(
  candidates: readonly Candidate[],
  misfits: readonly Float64Array[],
  prepared: PreparedPart,
): Float64Array {
  const levels = prepared.noise.deviations.length
  const logs = new Float64Array(candidates.length * levels)
  candidates.forEach((candidate, c) => {
    const out = logs.subarray(c * levels, (c + 1) * levels)
    if (misfits[c]!.every(Number.isFinite)) logLikelihoods(prepared, centred(misfits[c]!), out)
    else out.fill(Number.NEGATIVE_INFINITY)
    for (let s = 0; s < levels; s++) out[s]! += Math.log(candidate.weight)
  })
  let highest = Number.NEGATIVE_INFINITY
  for (const value of logs) highest = Math.max(highest, value)
  let total = 0
  for (const value of logs) total += Math.exp(value - highest)
  return logs.map((value) => Math.exp(value - highest) / total)
}

function mean(values: Float64Array): number {
  let sum = 0
  for (const value of values) sum += value
  return sum / values.length
}

function centred(values: Float64Array): Float64Array {
  const middle = mean(values)
  const out = new Float64Array(values.length)
  for (let k = 0; k < out.length; k++) out[k] = values[k]! - middle
  return out
}

/** Pairs of candidate and noise level, as often as their probability asks, evenly spread along the candidates' slope. */
function pickPairs(posterior: Posterior, count: number): readonly number[] {
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

/** Pairs that matter, in the order of what their candidate says of the first run, which goes with its slope. */
function probablePairs(posterior: Posterior): readonly number[] {
  const { probabilities, prepared, misfits } = posterior
  const levels = prepared.noise.deviations.length
  const pairs: number[] = []
  for (let pair = 0; pair < probabilities.length; pair++) if (probabilities[pair]! > 1e-9) pairs.push(pair)
  const place = (pair: number): number => misfits[Math.floor(pair / levels)]![0]!
  return pairs.sort((a, b) => place(a) - place(b) || a - b)
}

function drawCurves(posterior: Posterior): readonly Draw[] {
  const { prepared, misfits, candidates, referenceW } = posterior
  const levels = prepared.noise.deviations.length
  const normals = stratifiedNormals(DRAWS, prepared.part.variances.length + prepared.part.basis.length)
  return pickPairs(posterior, DRAWS).map((pair, i) => {
    const c = Math.floor(pair / levels)
    const misfit = misfits[c]!
    const middle = mean(misfit)
    const coefficients = drawCoefficients(
      prepared,
      centred(misfit),
      prepared.noise.deviations[pair % levels]!,
      normals[i]!,
    )
    const curve = candidates[c]!.curve
    const bend = bendFromCoefficients(coefficients, curve, referenceW)
    const scale = Math.exp(middle + coefficients[0]!)
    return {
      member: { weight: 1 / DRAWS, curve: { ...curve, scale, bend } },
      logRates: addedRates(posterior, c, coefficients, middle),
    }
  })
}

/** ln rate of every run minus its measured one, for drawn coefficients. */
function addedRates(
  posterior: Posterior,
  c: number,
  coefficients: Float64Array,
  middle: number,
): Float64Array {
  return posterior.misfits[c]!.map((misfit, k) => {
    const linear = posterior.prepared.part.basis[k]!.reduce((sum, b, j) => sum + b * coefficients[j]!, 0)
    return middle + linear - misfit
  })
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
    values.forEach((value, i) => {
      rows[i]![j] = value
    })
  }
  return rows
}

/** A run further off than this many robust standard deviations is set back; 3 is Hampel's customary bound. */
const OUTLIER_BOUND = 3
/** Scatter below which no run is called off the curve. */
const OUTLIER_FLOOR = 0.003

/** New spreads that pull runs far off the curve down to the bound, or undefined when none is. */
function setBackOutliers(posterior: Posterior, spread: Float64Array): Float64Array<ArrayBuffer> | undefined {
  const residuals = meanResiduals(posterior)
  const scale = Math.max(OUTLIER_FLOOR, 1.4826 * quantile(residuals.map(Math.abs), 0.5))
  const factors = residuals.map((residual) => Math.max(1, Math.abs(residual) / (OUTLIER_BOUND * scale)))
  if (factors.every((factor) => factor === 1)) return undefined
  return spread.map((value, k) => Math.max(value, factors[k]! ** 4))
}

/** Fitted minus measured ln rate of each run, posterior mean. */
function meanResiduals(posterior: Posterior): Float64Array {
  const { prepared, misfits } = posterior
  const levels = prepared.noise.deviations.length
  const nothing = new Float64Array(prepared.part.variances.length + prepared.part.basis.length)
  const sum = new Float64Array(prepared.part.basis.length)
  const picks = pickPairs(posterior, 24)
  for (const pair of picks) {
    const c = Math.floor(pair / levels)
    const middle = mean(misfits[c]!)
    const coefficients = drawCoefficients(
      prepared,
      centred(misfits[c]!),
      prepared.noise.deviations[pair % levels]!,
      nothing,
    )
    addedRates(posterior, c, coefficients, middle).forEach((value, k) => {
      sum[k]! += value / picks.length
    })
  }
  return sum
}

function fittedRuns(
  posterior: Posterior,
  draws: readonly Draw[],
  options: { readonly runs: readonly ScoredRun[]; readonly workload: Workload },
): readonly FittedRun[] {
  return options.runs.map((run, k) => {
    const logRate = draws.reduce((sum, draw) => sum + draw.member.weight * draw.logRates[k]!, 0)
    const off = options.workload.better === 'lower' ? -logRate : logRate
    const { sheet, startS, endS, score, profile } = run
    const fittedScore = score * Math.exp(off)
    return {
      sheet,
      startS,
      endS,
      meanW: profile.meanW,
      score,
      fittedScore,
      spread: Math.sqrt(posterior.spread[k]!),
    }
  })
}

function scatterOf(posterior: Posterior): Estimate {
  const { prepared, probabilities } = posterior
  const { deviations } = prepared.noise
  const weights = deviations.map((_, s) => {
    let sum = 0
    for (let i = s; i < probabilities.length; i += deviations.length) sum += probabilities[i]!
    return sum
  })
  const [low, value, high] = weightedQuantiles(deviations, weights, [0.05, 0.5, 0.95])
  return { value: value!, low: low!, high: high!, level: ESTIMATE_LEVEL }
}

function familyProbabilities(posterior: Posterior): ChipFit['families'] {
  const levels = posterior.prepared.noise.deviations.length
  const sums = new Map<string, number>()
  posterior.probabilities.forEach((probability, i) => {
    const { shape } = posterior.candidates[Math.floor(i / levels)]!.curve
    sums.set(shape, (sums.get(shape) ?? 0) + probability)
  })
  return [...sums].map(([shape, probability]) => ({ shape, probability }))
}

/** Score x duration is constant for fixed work: its median, with a t interval from a robust spread. */
function workPerRun(runs: readonly ScoredRun[], workload: Workload): Estimate | null {
  const works = runs
    .filter((run) => run.endS !== null && run.endS > run.startS)
    .map((run) => (run.endS! - run.startS) * Math.exp(logRateOf(run.score, workload)))
  if (works.length === 0) return null
  const value = quantile(works, 0.5)
  const spread =
    1.4826 *
    quantile(
      works.map((work) => Math.abs(work - value)),
      0.5,
    )
  // A median's standard error is sqrt(pi / 2) times a mean's; the floor is the rounding of run times.
  const error = Math.max(spread, WORK_FLOOR * value) * Math.sqrt(Math.PI / 2 / works.length)
  const reach = error * studentTQuantile(0.95, Math.max(1, works.length - 1))
  return { value, low: value - reach, high: value + reach, level: ESTIMATE_LEVEL }
}

/** Relative scatter of score x duration that is always allowed for: times to 0.1 s in a minute. */
const WORK_FLOOR = 0.002

function warningsOf(_runs: readonly FittedRun[], _range: readonly [number, number]): readonly Warning[] {
  return []
}
