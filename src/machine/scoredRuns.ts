import type { ScoredRun } from '../fit/chip/fitChip.js'
import { profileOfLevels, profileOfRuns, profileRun } from '../fit/chip/profileRun.js'
import { heldByNote } from '../sheet/heldByNote.js'
import type { NotedLevel, NotedTrial } from '../sheet/testSheet.js'
import type { Warning } from '../warnings.js'
import type { ReadNotedTrial, ReadTest, ReadTrial, TestedRun } from './testedMachine.js'

/** A scored run as the chip's fit takes it, and how its place was known. */
export interface PlacedScore {
  readonly run: ScoredRun
  readonly placedBy: TestedRun['placedBy']
  /** The log that shows it, as the sheet names it; null where its power was noted. */
  readonly log: string | null
}

interface ScoredRuns {
  readonly scores: readonly PlacedScore[]
  readonly warnings: readonly Warning[]
}

/** All scored runs of a test with the power that earned them; runs without a sample of power are left out and told. */
export function scoredRuns(test: ReadTest): ScoredRuns {
  const parts = test.trials.map((trial) =>
    trial.kind === 'noted' ? notedScores(test, trial) : loggedScores(test, trial),
  )
  return { scores: parts.flatMap((part) => part.scores), warnings: parts.flatMap((part) => part.warnings) }
}

function loggedScores(test: ReadTest, trial: ReadTrial): ScoredRuns {
  const warnings: Warning[] = []
  const { trace } = trial.log
  const instants = trial.loads.some((load) => load.showsInstants)
  const isTime = test.sheet.workload.better === 'lower'
  const scores = trial.runs.flatMap((placed): PlacedScore[] => {
    const { startS, endS, score, of, placedBy } = placed
    const parts = placed.parts ?? [placed]
    const profiles = parts.flatMap((part) => profileRun(trace, part.startS, part.endS, instants) ?? [])
    const profile = profiles.length === 1 ? profiles[0] : profileOfRuns(profiles, isTime)
    if (profile === undefined) {
      warnings.push({ code: 'run-without-power', file: trial.path, atS: startS })
      return []
    }
    const own = { ...origin(test, trial.trial), startS, endS, score, profile }
    const { log } = trial.trial
    if (of === undefined) return [{ run: own, placedBy, log }]
    const lengthsS = placed.parts?.map((part) => part.endS - part.startS) ?? [(endS - startS) / of]
    return [{ run: { ...own, of, runS: lengthOfOne(lengthsS, isTime) }, placedBy, log }]
  })
  return { scores, warnings }
}

/** Length of a run that does the work of each in the mean time, or at the mean rate. */
function lengthOfOne(lengthsS: readonly number[], isTime: boolean): number {
  const sum = lengthsS.reduce((total, lengthS) => total + (isTime ? lengthS : 1 / lengthS), 0)
  return isTime ? sum / lengthsS.length : lengthsS.length / sum
}

/** Watts read off a screen by hand: a few per cent; common practice, no source. */
const NOTED_POWER_UNCERTAINTY = 0.03
/** Levels written with parts of a watt are means that a program worked out; common practice, no source. */
const AVERAGED_POWER_UNCERTAINTY = 0.015

/** Relative standard deviation of the powers noted in a test. */
function notedUncertainty(test: ReadTest): number {
  const levels = test.trials.flatMap((trial) => (trial.kind === 'noted' ? trial.trial.levels : []))
  const averaged = levels.some(({ powerW }) => !Number.isInteger(powerW) && powerW >= 1)
  return averaged ? AVERAGED_POWER_UNCERTAINTY : NOTED_POWER_UNCERTAINTY
}

/** Length of a run that was not noted: about what a looped test takes; common practice, no source. */
const SUPPOSED_RUN_S = 60

function notedScores(test: ReadTest, { trial }: ReadNotedTrial): ScoredRuns {
  const scores = trial.runs.map((run, index): PlacedScore => {
    const forS = run.forS ?? supposedLengthS(trial, index)
    const { of = 1 } = run
    const levels = levelsWithin(trial.levels, run.afterS, run.afterS + of * forS)
    const profile = profileOfLevels(levels)
    const endS = run.forS === null ? null : run.afterS + of * run.forS
    const power = { profile, powerUncertainty: notedUncertainty(test), ...clockOf(levels) }
    const mean = of === 1 ? {} : { of, runS: forS }
    return {
      run: { ...origin(test, trial), startS: run.afterS, endS, score: run.score, ...power, ...mean },
      placedBy: 'noted',
      log: null,
    }
  })
  const unknown = trial.runs.some((run) => run.forS === null)
  const lengthWarning: readonly Warning[] = unknown
    ? [{ code: 'run-length-unknown', supposedS: SUPPOSED_RUN_S }]
    : []
  return { scores, warnings: [...lengthWarning, ...partlyCapped(trial.levels)] }
}

function partlyCapped(levels: readonly NotedLevel[]): readonly Warning[] {
  return levels.flatMap(({ powerW, cappedPct }): Warning[] => {
    if (cappedPct === null || heldByNote(cappedPct) !== 'undetermined') return []
    return [{ code: 'level-partly-capped', powerW, cappedPct }]
  })
}

/** The sheet of a run, and the unit of its trial where the sheet has several. */
function origin(test: ReadTest, { unit }: { readonly unit: string | null }) {
  return { sheet: test.sheet.file, ...(unit === null ? {} : { unit }) }
}

/** Clock of a run at one noted level; a mean over several would hide what happened. */
function clockOf(levels: readonly NotedLevel[]): { readonly clockHz?: number } {
  const clockHz = levels.length === 1 ? levels[0]!.clockHz : null
  return clockHz === null ? {} : { clockHz }
}

/** A run can't have lasted beyond the next one's start. */
function supposedLengthS(trial: NotedTrial, index: number): number {
  const startS = trial.runs[index]!.afterS
  const nextS = Math.min(...trial.runs.map((run) => run.afterS).filter((afterS) => afterS > startS))
  return Math.min(SUPPOSED_RUN_S, (nextS - startS) / (trial.runs[index]!.of ?? 1))
}

function levelsWithin(levels: readonly NotedLevel[], startS: number, endS: number) {
  let fromS = 0
  const within = levels.flatMap((level, index) => {
    const untilS = index === levels.length - 1 ? Number.POSITIVE_INFINITY : fromS + (level.forS ?? 0)
    const seconds = Math.min(endS, untilS) - Math.max(startS, fromS)
    fromS = untilS
    return seconds > 0 ? [{ ...level, seconds }] : []
  })
  return within
}
