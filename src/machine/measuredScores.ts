import { type Estimate, estimateFromStandardError } from '../numeric/statistics/estimate.js'
import { STEADY_RUNS, USUAL_LOOP } from '../physics/loop/usualLoop.js'
import { mainTrials } from './mainLoad.js'
import type { ReadTest, TestedLoop } from './testedMachine.js'

interface MeasuredScores {
  readonly asTested: { readonly firstScore: Estimate | null; readonly steadyScore: Estimate | null }
  readonly loop: TestedLoop
}

interface TimedScore {
  readonly startS: number
  readonly endS: number | null
  readonly score: number
  /** How many runs the score is the mean of, and where they lie as far as that is known; left out: one. */
  readonly of?: number
  readonly parts?: readonly { readonly startS: number; readonly endS: number }[]
}

/**
 * What a machine itself scored, and how it was looped: from the trial with the most scored runs in its first power mode (`mainTrials`).
 *
 * The first run's interval is the scatter of one run, and a mean of several tells of no first; the steady score's is that of a mean of three
 * (or of as many as the mean at the end is of), and there is none
 * before the log shows settled power or with fewer than three runs beyond the first.
 *
 * @param scatter - relative standard deviation of a run's score
 */
export function measuredScores(test: ReadTest, scatter: number): MeasuredScores {
  const runs = longestTrial(test)
  const [first] = runs
  if (first === undefined) return { asTested: { firstScore: null, steadyScore: null }, loop: USUAL_LOOP }
  const last = steadyRuns(test)
  const [total, steadyCount] = [countOf(runs), countOf(last)]
  const steady = last.reduce((sum, run) => sum + (run.of ?? 1) * run.score, 0) / steadyCount
  return {
    asTested: {
      firstScore: first.of === undefined ? withScatter(first.score, scatter) : null,
      steadyScore: last.length > 0 ? withScatter(steady, scatter / Math.sqrt(steadyCount)) : null,
    },
    loop: {
      runs: total > STEADY_RUNS ? total : USUAL_LOOP.runs,
      gapS: medianGapS(
        runs.flatMap(
          (run): readonly TimedScore[] => run.parts?.map((part) => ({ ...part, score: run.score })) ?? [run],
        ),
        intervalOf(test),
      ),
    },
  }
}

/** The runs that a steady score is the mean of; none before the log shows settled power, or with fewer than three beyond the first. */
export function steadyRuns(test: ReadTest): readonly TimedScore[] {
  const runs = longestTrial(test)
  let from = runs.length
  while (from > 0 && countOf(runs.slice(from)) < STEADY_RUNS) from--
  const last = runs.slice(from)
  // A mean of all runs that were noted by hand says nothing of when they settled.
  if (countOf(runs) <= STEADY_RUNS || (from === 0 && !hasLog(test))) return []
  return steadyFromS(test) <= last[0]!.startS ? last : []
}

function countOf(runs: readonly TimedScore[]): number {
  return runs.reduce((sum, { of = 1 }) => sum + of, 0)
}

function hasLog({ trials }: ReadTest): boolean {
  return trials.some(({ kind }) => kind === 'logged')
}

function longestTrial(test: ReadTest): readonly TimedScore[] {
  const trials = mainTrials(test).map((read): readonly TimedScore[] => {
    if (read.kind === 'logged') return read.runs
    return read.trial.runs.map(({ afterS, forS, score, of }) => {
      const endS = forS === null ? null : afterS + (of ?? 1) * forS
      return { startS: afterS, endS, score, ...(of === undefined ? {} : { of }) }
    })
  })
  return trials.reduce((best, runs) => (countOf(runs) > countOf(best) ? runs : best), [])
}

/** When the first logged load of that mode had settled, s; 0 for a trial noted by hand, where it can't be told. */
function steadyFromS(test: ReadTest): number {
  const settled = mainTrials(test).flatMap((read) =>
    read.kind === 'logged' ? read.loads.map((load) => load.sustained.fromS ?? Number.POSITIVE_INFINITY) : [],
  )
  return settled.length === 0 ? 0 : Math.min(...settled)
}

/** The coarsest sampling interval of the logs, s; 0 without a log. */
function intervalOf(test: ReadTest): number {
  return Math.max(0, ...test.trials.map((read) => (read.kind === 'logged' ? read.log.trace.intervalS : 0)))
}

/** Two times rounded to a tenth of a second lie as much as this apart without a pause between them. */
const ROUNDING_S = 0.2

/** The usual pause between runs; what is no longer than the rounding of times or a sampling interval is none. */
function medianGapS(runs: readonly TimedScore[], intervalS: number): number {
  const gaps = runs
    .slice(1)
    .map((run, index) => run.startS - (runs[index]!.endS ?? run.startS))
    .sort((a, b) => a - b)
  const gapS = gaps[Math.floor(gaps.length / 2)] ?? USUAL_LOOP.gapS
  return gapS > Math.max(ROUNDING_S, intervalS) ? gapS : 0
}

function withScatter(score: number, deviation: number): Estimate {
  const standardError = deviation * score
  return estimateFromStandardError({
    value: score,
    standardError,
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  })
}
