import { InputError } from '../../errors.js'
import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import { weightedQuantiles } from '../../numeric/statistics/quantile.js'
import type { Chip, Workload } from '../../physics/chip/chip.js'
import { rateFromScore } from '../../physics/chip/chipAt.js'
import type { Warning } from '../../warnings.js'
import { chipWarnings } from './chipWarnings.js'
import { type CurveCriticism, criticiseCurve, powerLevels } from './criticiseCurve.js'
import { type CurvePosterior, familyProbabilities } from './curvePosterior.js'
import { curvesOfDraws, extraTilt } from './curvesOfDraws.js'
import { type CurveDraw, drawFromPosterior } from './drawFromPosterior.js'
import { findCurvePosterior } from './findCurvePosterior.js'
import { gridProfiles } from './gridProfiles.js'
import { levelWarnings } from './levelWarnings.js'
import { curvePrior } from './prior/curvePrior.js'
import type { PriorPowers } from './prior/priorPowers.js'
import type { PowerProfile } from './profileRun.js'
import { type RunHeat, runHeat } from './runHeat.js'
import { noiseProbabilities } from './runNoise.js'
import { HEAT_PER_K, heatFromCoefficients } from './scoreBasis.js'
import type { MeasuredLevel } from './simpleForms.js'
import { timedRuns, workPerRun } from './workPerRun.js'

/** A score and the power that earned it. */
export interface ScoredRun {
  /** Runs of one sheet are one machine; sheets of a chip are pooled, each with its own small offset. */
  readonly sheet: string
  /** Which unit of the chip, where a sheet has several: each has its own small offset. */
  readonly unit?: string
  readonly startS: number
  /** Null when the run's end is not known. */
  readonly endS: number | null
  /** In the workload's unit, > 0. */
  readonly score: number
  /** How many runs the score is the mean of, its profile that of all of them; left out: one. */
  readonly of?: number
  /** Length of one of them, s. */
  readonly runS?: number
  readonly profile: PowerProfile
  /** Relative standard deviation of the run's power: 0 (or left out) for a log, a few per cent for levels noted by hand. */
  readonly powerUncertainty?: number
  /** Clock noted beside the power, Hz. */
  readonly clockHz?: number
}

/** One run as fitted; `fittedScore` is what the curve says for its power. */
export interface FittedRun {
  readonly sheet: string
  readonly startS: number
  readonly endS: number | null
  readonly meanW: number
  readonly score: number
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  readonly fittedScore: number
  /** Standard deviation allowed to this run over that of an ordinary one (of a mean, over that of such a mean); above 1 the run was set back as doubtful. */
  readonly spread: number
}

export interface ChipFit {
  readonly chip: Chip
  readonly runs: readonly FittedRun[]
  /** Run-to-run scatter, relative standard deviation. */
  readonly scatter: Estimate
  /** Posterior probability of each family of shapes. */
  readonly families: readonly { readonly shape: string; readonly probability: number }[]
  /** How well the curve foretells levels that are left out; null with fewer than four, or where nobody asked. */
  readonly criticism: CurveCriticism | null
  readonly warnings: readonly Warning[]
}

/**
 * Posterior of the score curve of one chip and workload, from scored runs and the power of each.
 *
 *   ln rate_k = ln mean over run k of r(P(t)) + ln scale + bend - heat + sheet offset + noise_k
 *
 * Candidate curves r fill a prior that is grounded in published voltage-frequency tables. Scale, bend and offsets are
 * integrated out in closed form, noise over a grid of levels: no iterations, no starting values, no random search. Few
 * runs, or runs at one power, leave the prior's wide interval.
 *
 * @param options.runs - at least one; from one or more sheets of the same chip and workload
 * @param options.demandW - power at which the workload was seen to ask for no more; the curve is flat above it
 * @param options.possibleDemandW - the same where nothing tells whether the workload asks for more: half of the draws are flat above it
 * @param options.idleW - power between loads, W, where it was seen: it tells how much of the power buys no score
 * @throws InputError `runs-missing`, `score-not-positive`, `scores-unexplained`
 * @source posterior over a grid with linear parameters integrated out: A. Gelman et al. (2013), Bayesian Data Analysis,
 * 3rd edition, chapters 10 and 14; discrepancy: M. C. Kennedy, A. O'Hagan (2001), J. R. Stat. Soc. B 63, 425-464
 * @example fitChip({ name: 'Kestrel 16', workload, runs }).chip.draws.length // 240
 */
export function fitChip(
  options: ChipData & {
    readonly name: string
    readonly demandW?: number | null
    readonly possibleDemandW?: number | null
  },
): ChipFit {
  const { name, runs, workload, demandW = null, possibleDemandW = null } = options
  const { measuredRangeW, levels, posterior, draws, fitted, scatter } = explainRuns(options)
  const heat = runHeat(runs)
  const measured = levels.map((level) => measuredLevel(level, runs, workload, heat))
  const criticism = criticiseCurve(posterior, levels, { measured, asked: options.criticism })
  const curves = curvesOfDraws(draws, {
    demandW,
    possibleDemandW,
    highestW: measuredRangeW[1],
    extraTilt: extraTilt(criticism, measuredRangeW),
  })
  const chip: Chip = {
    name,
    workload,
    measuredRangeW,
    draws: draws.map((draw, i) => ({
      weight: 1 / DRAWS,
      heatPerK: heatFromCoefficients(draw.coefficients),
      curve: curves[i]!,
    })),
    demandW,
    workPerRun: workPerRun(timedRuns(runs, workload)),
    referenceC: heat.referenceC,
  }
  const warnings = [
    ...chipWarnings({ runs: fitted, measuredRangeW, demandW, scatter }),
    ...levelWarnings({ measured, criticism, runs, scatter }),
  ]
  return { chip, runs: fitted, scatter, families: familyProbabilities(posterior), criticism, warnings }
}

/** Runs as fitted and their scatter, the same as `fitChip` gives, for whoever doesn't ask for the chip. */
export function fitRuns(options: ChipData): Pick<ChipFit, 'runs' | 'scatter'> {
  const { fitted, scatter } = explainRuns(options)
  return { runs: fitted, scatter }
}

interface ChipData {
  readonly workload: Workload
  readonly runs: readonly ScoredRun[]
  readonly idleW?: number | null
  /** False: the curve is not criticised where that can't widen its intervals. */
  readonly criticism?: boolean
}

function explainRuns({ runs, workload, idleW = null }: ChipData) {
  requireRuns(runs)
  const measuredRangeW = measuredRange(runs)
  const levels = powerLevels(runs.map(({ profile }) => profile.meanW))
  const posterior = posteriorOf(runs, workload, {
    referenceW: Math.sqrt(measuredRangeW[0] * measuredRangeW[1]),
    idleW,
    lowestW: measuredRangeW[0],
    highestW: Math.max(...runs.map(({ profile }) => profile.powersW.reduce((a, b) => Math.max(a, b), 0))),
    levels: levels.length,
    noted: runs.every((run) => (run.powerUncertainty ?? 0) > 0),
  })
  const draws = drawFromPosterior(posterior, DRAWS)
  const fitted = fittedRuns(runs, workload, { posterior, draws })
  return { measuredRangeW, levels, posterior, draws, fitted, scatter: scatterOf(posterior) }
}

/** How many curves represent the posterior: quantiles at 5 and 95 % are then good to about 1 % in probability. */
const DRAWS = 240

function requireRuns(runs: readonly ScoredRun[]): void {
  if (runs.length === 0) {
    throw new InputError('runs-missing', 'expected at least one scored run, got none', {
      remedy: 'Add runs with scores to the test sheet.',
    })
  }
  for (const run of runs) {
    if (!(run.score > 0 && Number.isFinite(run.score))) {
      throw new InputError('score-not-positive', `expected a score above 0, got ${run.score}`)
    }
  }
}

/** Powers that some run spent a twentieth of its time below, or above: single odd samples don't widen the range. */
function measuredRange(runs: readonly ScoredRun[]): readonly [number, number] {
  const ends = runs.map(({ profile }) => weightedQuantiles(profile.powersW, profile.secondsS, [0.05, 0.95]))
  return [Math.min(...ends.map((end) => end[0]!)), Math.max(...ends.map((end) => end[1]!))]
}

function posteriorOf(runs: readonly ScoredRun[], workload: Workload, powers: PriorPowers): CurvePosterior {
  const units = runs.map(unitOf)
  const unitsOnce = [...new Set(units)]
  const heat = runHeat(runs)
  const data = {
    grid: gridProfiles(runs.map((run) => run.profile)),
    // At the curve's temperature, as far as the prior knows; the data move the rest.
    logRates: runs.map(
      (run, k) => Math.log(rateFromScore(workload, run.score)) + HEAT_PER_K * heat.heatK[k]!,
    ),
    heat,
    sheets: units.map((unit) => unitsOnce.indexOf(unit)),
    counts: runs.map(({ of }) => of ?? 1),
    powerUncertainties: runs.map((run) => run.powerUncertainty ?? 0),
    meansW: runs.map((run) => run.profile.meanW),
    referenceW: powers.referenceW,
  }
  return findCurvePosterior(data, curvePrior(powers))
}

/** What tells one unit of the chip from another. */
function unitOf({ sheet, unit }: ScoredRun): string {
  return JSON.stringify([sheet, unit])
}

function fittedRuns(
  runs: readonly ScoredRun[],
  workload: Workload,
  fit: { readonly posterior: CurvePosterior; readonly draws: readonly CurveDraw[] },
): readonly FittedRun[] {
  const { spread } = fit.posterior.prepared.part
  return runs.map(({ sheet, startS, endS, score, of, profile }, k) => {
    const residual = fit.draws.reduce((sum, draw) => sum + draw.residuals[k]!, 0) / fit.draws.length
    const fittedScore = score * Math.exp(workload.better === 'lower' ? -residual : residual)
    const counted = of === undefined ? {} : { of }
    const doubt = Math.sqrt(spread[k]! * (of ?? 1))
    return { sheet, startS, endS, meanW: profile.meanW, score, ...counted, fittedScore, spread: doubt }
  })
}

function measuredLevel(
  level: readonly number[],
  runs: readonly ScoredRun[],
  workload: Workload,
  heat: RunHeat,
): MeasuredLevel {
  const average = (figureOf: (run: ScoredRun) => number) =>
    level.reduce((sum, k) => sum + figureOf(runs[k]!), 0) / level.length
  const noted = level.every((k) => runs[k]!.clockHz !== undefined)
  return {
    powerW: average(({ profile }) => profile.meanW),
    rate: average(({ score }) => rateFromScore(workload, score)),
    ...(noted ? { clockHz: average(({ clockHz }) => clockHz!) } : {}),
    ...(heat.measured ? { heatK: mean(level.map((k) => heat.heatK[k]!))! } : {}),
    units: [...new Set(level.map((k) => unitOf(runs[k]!)))],
  }
}

function scatterOf(posterior: CurvePosterior): Estimate {
  const { deviations, weights } = noiseProbabilities(posterior)
  const [low, value, high] = weightedQuantiles(deviations, weights, [0.05, 0.5, 0.95])
  return { value: value!, low: low!, high: high!, level: ESTIMATE_LEVEL }
}
