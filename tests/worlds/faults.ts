import type { HoldTruth } from './holdTruth.js'
import type { LoggerFaults } from './logger.js'
import type { RandomStream } from './randomStream.js'
import type { SheetRun } from './sheetText.js'
import type { Schedule, Simulation } from './simulate.js'

/** Ways in which a test goes wrong, each planted on purpose. */
export const FAULTS = [
  'startWarm',
  'backgroundBeforeStart',
  'lateStart',
  'gap',
  'clockJump',
  'stuckSensor',
  'clippedSensor',
  'coarseQuantum',
  'swappedScores',
  'wrongTimes',
  'otherClock',
  'noisyRuns',
  'tooFewRuns',
  'mixedModes',
  'wrongBetter',
  'missingAmbient',
] as const
export type Fault = (typeof FAULTS)[number]

/** The schedule with its faults, and where the log begins. */
export function plantInSchedule(schedule: Schedule, faults: readonly Fault[], hold: HoldTruth) {
  const warm = faults.includes('startWarm')
  const late = faults.includes('lateStart')
  const planted: Schedule = {
    ...schedule,
    ...(warm ? { earlierLoadS: 400, idleBeforeS: 12 } : {}),
    ...(faults.includes('backgroundBeforeStart') ? { backgroundW: 0.22 * hold.sustainedW } : {}),
  }
  const logFromS = (simulation: Simulation) => {
    if (warm) return simulation.loadStartS - 10
    return late ? simulation.loadStartS + 4 : 0.2
  }
  return { schedule: planted, logFromS }
}

/** Faults of the logger, placed where they matter, in seconds of the log. */
export function loggerFaults(
  faults: readonly Fault[],
  load: { readonly loadStartS: number; readonly loadEndS: number; readonly hold: HoldTruth },
): LoggerFaults {
  const lengthS = load.loadEndS - load.loadStartS
  const middleS = load.loadStartS + 0.5 * lengthS
  return {
    ...(faults.includes('gap') ? { gap: { atS: middleS, forS: Math.max(20, 0.05 * lengthS) } } : {}),
    ...(faults.includes('clockJump') ? { clockJump: { atS: middleS, byS: 3600 } } : {}),
    ...(faults.includes('stuckSensor')
      ? { stuck: { atS: load.loadStartS + 0.3 * lengthS, forS: Math.max(60, 0.12 * lengthS) } }
      : {}),
    ...(faults.includes('clippedSensor')
      ? { clipAtW: load.hold.sustainedW + 0.5 * (load.hold.burstW - load.hold.sustainedW) }
      : {}),
  }
}

/** The noted runs with the reviewer's mistakes. */
export function faultyScores(
  runs: readonly SheetRun[],
  faults: readonly Fault[],
  random: RandomStream,
): readonly SheetRun[] {
  let out = [...runs]
  if (faults.includes('swappedScores')) out = reversedScores(out)
  if (faults.includes('otherClock')) out = out.map(aheadTimes)
  if (faults.includes('wrongTimes')) out = out.map((run) => shiftedTimes(run, random))
  return out
}

/** The list copied from the bottom up: first score last. */
function reversedScores(runs: readonly SheetRun[]): SheetRun[] {
  return runs.map((run, i) => ({ ...run, score: runs[runs.length - 1 - i]!.score }))
}

/** Noted by a watch that is ahead. */
function aheadTimes(run: SheetRun): SheetRun {
  if (run.startS === undefined || run.endS === undefined) return run
  return { ...run, startS: run.startS + 9, endS: run.endS + 9 }
}

function shiftedTimes(run: SheetRun, random: RandomStream): SheetRun {
  if (run.startS === undefined || run.endS === undefined) return run
  const lengthS = run.endS - run.startS
  return { ...run, startS: run.startS + random.uniform(0.15, 0.4) * lengthS }
}
