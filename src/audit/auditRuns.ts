import { mean } from '../numeric/statistics/moments.js'
import { quantile } from '../numeric/statistics/quantile.js'
import type { Workload } from '../physics/chip/chip.js'
import { secondsPer } from '../sheet/parseScore.js'
import type { PlacedRun } from '../sheet/placedRun.js'
import type { Finding } from './finding.js'

interface RunsView {
  /** Scored runs of one trial, in order, with the mean power of each. */
  readonly runs: readonly (PlacedRun & { readonly meanW: number })[]
  readonly workload: Workload
  /** Median sampling interval of the log, s. */
  readonly intervalS: number
}

/**
 * Whether scores and times of a trial belong together. A run of fixed work takes a time in inverse proportion to its
 * rate, so score x duration (for a time: score / duration) is the same for every run.
 *
 * Runs of fixed length, which rate whatever they got done, are told by their equal durations and left alone.
 */
export function auditRuns(view: RunsView): readonly Finding[] {
  const { runs, workload } = view
  if (runs.some((run) => run.placedBy === 'rate')) return []
  const timed = runs.filter((run) => run.placedBy !== 'scores')
  const slope = auditSlopeSign(view)
  if (timed.length < 2) return slope
  const unit = auditUnit(view, timed)
  if (unit !== undefined) return [unit]
  if (timed.length < 3) return slope
  const durations = timed.map((run) => run.endS - run.startS)
  const rates = timed.map((run) => rateOf(run.score, workload))
  const logWork = durations.map((duration, i) => Math.log(duration * rates[i]!))
  const allowed = toleranceOf(view, timed)
  const spread = spreadOf(logWork)
  if (spread <= allowed || isFixedLength(durations, rates, allowed)) return slope
  const sorted = spreadOf(pairedByRank(durations, rates))
  if (sorted < spread / 2.5 && sorted < 2 * allowed) return [sayOrder(timed[0]!)]
  // Runs of equal length and power whose scores jump about: that is scatter, and told as such.
  if (isScatter(timed, rates)) return slope
  return [sayTimes(timed, logWork, allowed)]
}

function rateOf(score: number, workload: Workload): number {
  return workload.better === 'lower' ? 1 / score : score
}

/** How near two runs' powers must be to be called equal. */
const EQUAL_POWER = 0.04

function isScatter(runs: RunsView['runs'], rates: readonly number[]): boolean {
  const middle = quantile(
    runs.map((run) => run.meanW),
    0.5,
  )
  const alike = runs
    .map((run, i) => ({ run, rate: rates[i]! }))
    .filter(({ run }) => Math.abs(run.meanW / middle - 1) < EQUAL_POWER)
  if (alike.length < 3) return false
  const lengths = spreadOf(alike.map(({ run }) => Math.log(run.endS - run.startS)))
  return lengths < 0.5 * spreadOf(alike.map(({ rate }) => Math.log(rate)))
}

/** Scores that fall as power rises by at least this elasticity and this many standard errors are in a wrong order. */
const FALLING_ELASTICITY = -0.05
const FALLING_ERRORS = -2.5
/** Below this range of power a slope is scatter. */
const LEAST_POWER_RANGE = 1.05

/** More power never makes a quiet chip slower. */
function auditSlopeSign({ runs, workload }: RunsView): readonly Finding[] {
  const powers = runs.map((run) => run.meanW)
  if (runs.length < 5 || Math.max(...powers) / Math.min(...powers) < LEAST_POWER_RANGE) return []
  const { slope, standardError } = lineThrough(
    powers.map(Math.log),
    runs.map((run) => Math.log(rateOf(run.score, workload))),
  )
  if (slope > FALLING_ELASTICITY || slope > FALLING_ERRORS * standardError) return []
  return [
    {
      code: 'scores-out-of-order',
      severity: 'unsafe',
      message:
        'Scores are lower where the power was higher: they were noted in the wrong order, or against the wrong runs, or `better` is the wrong way round. Put them in the order in which the runs were made, with start and end of each.',
      atS: runs[0]!.startS,
    },
  ]
}

/** Least-squares line: slope and its standard error. */
function lineThrough(x: readonly number[], y: readonly number[]) {
  const [mx, my] = [mean(x)!, mean(y)!]
  const sxx = x.reduce((sum, value) => sum + (value - mx) ** 2, 0)
  const slope = x.reduce((sum, value, i) => sum + (value - mx) * (y[i]! - my), 0) / sxx
  const rss = x.reduce((sum, value, i) => sum + (y[i]! - my - slope * (value - mx)) ** 2, 0)
  return { slope, standardError: Math.sqrt(rss / (x.length - 2) / sxx) }
}

/** Scores that move by less than this are the scatter of a quiet machine; common practice, no source. */
const SCORE_SCATTER = 0.01

/** What rounding of times, sampling and scatter can do to score x duration, as a share of it. */
function toleranceOf({ intervalS }: RunsView, runs: readonly PlacedRun[]): number {
  const shortestS = Math.min(...runs.map((run) => run.endS - run.startS))
  const found = runs.some((run) => run.placedBy === 'pauses')
  const edgeS = found ? Math.max(1, intervalS) : wholeSeconds(runs) ? 1 : 0.2
  return 3 * Math.hypot(SCORE_SCATTER, (0.6 * edgeS) / shortestS)
}

function wholeSeconds(runs: readonly PlacedRun[]): boolean {
  return runs.every((run) => Number.isInteger(run.startS) && Number.isInteger(run.endS))
}

function spreadOf(logs: readonly number[]): number {
  const middle = mean(logs)!
  return Math.max(...logs.map((value) => Math.abs(value - middle)))
}

function isFixedLength(durations: readonly number[], rates: readonly number[], allowed: number): boolean {
  const logs = (values: readonly number[]) => values.map(Math.log)
  return spreadOf(logs(durations)) < 0.5 * allowed && spreadOf(logs(rates)) > allowed
}

/** ln work if the fastest score belonged to the shortest run, and so on. */
function pairedByRank(durations: readonly number[], rates: readonly number[]): readonly number[] {
  const short = [...durations].sort((a, b) => a - b)
  const fast = [...rates].sort((a, b) => b - a)
  return short.map((duration, i) => Math.log(duration * fast[i]!))
}

function sayOrder(first: PlacedRun): Finding {
  return {
    code: 'scores-out-of-order',
    severity: 'unsafe',
    message:
      'Scores and run lengths disagree, and agree when the scores are put in another order: the same work takes less time at a higher score, so the scores were noted in the wrong order or against the wrong runs. Put them in the order in which the runs were made.',
    atS: first.startS,
  }
}

function sayTimes(runs: readonly PlacedRun[], logWork: readonly number[], allowed: number): Finding {
  const middle = quantile(logWork, 0.5)
  const off = runs.filter((_, i) => Math.abs(logWork[i]! - middle) > allowed)
  const worst = off[0] ?? runs[0]!
  const found = runs.some((run) => run.placedBy === 'pauses')
  const fault = found
    ? 'the runs found between pauses are not those that were scored'
    : 'start or end is wrong, or belongs to another run'
  return {
    code: 'run-times-wrong',
    severity: 'unsafe',
    message: `Score × duration, the same for every run of fixed work, is wrong in ${off.length} of ${runs.length} runs: ${fault}. Their scores are then paired with the wrong power. ${found ? 'Give start and end of each run.' : 'Correct the times, or leave them out: runs are then found in the log.'}`,
    atS: worst.startS,
  }
}

/** A score that equals its run's length in seconds or minutes is a time, whatever the sheet calls it. */
function auditUnit({ workload }: RunsView, runs: readonly PlacedRun[]): Finding | undefined {
  const given = runs.filter((run) => run.placedBy === 'times')
  if (given.length < 2) return undefined
  if (workload.better === 'higher') {
    const looksLikeTime = [1, 60].some((unitS) =>
      given.every((run) => near(run.score * unitS, run.endS - run.startS)),
    )
    return looksLikeTime
      ? sayDirection('The scores equal the run lengths: they are times, so the lower is the better')
      : undefined
  }
  const unitS = secondsPer(workload.score)
  if (unitS === undefined || given.every((run) => near(run.score * unitS, run.endS - run.startS, 0.15)))
    return undefined
  const inverse = spreadOf(given.map((run) => Math.log(run.score * (run.endS - run.startS)))) < 0.05
  const varies = spreadOf(given.map((run) => Math.log(run.score))) > 0.05
  return inverse && varies
    ? sayDirection('The scores rise as run lengths fall: they are rates, so the higher is the better')
    : undefined
}

function near(a: number, b: number, share = 0.03): boolean {
  return Math.abs(a / b - 1) < share
}

function sayDirection(reason: string): Finding {
  return {
    code: 'score-contradicts-better',
    severity: 'unsafe',
    message: `${reason}, and the sheet says the opposite: everything that is concluded would be upside down. Correct \`better\` and \`score\` in the sheet.`,
    atS: null,
  }
}
