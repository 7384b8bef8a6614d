import { basename } from 'node:path'
import { stringify } from 'yaml'
import type { Workload } from '../../physics/chip/chip.js'
import { endedWell, type RecordedRun } from './recordedRun.js'

/** What a sheet says beside its runs. */
export interface SheetHead {
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  /** Degrees C; null when nobody measured it. */
  readonly ambientC: number | null
  readonly workload: Workload
}

/** What was recorded, for its sheet. */
export interface RecordedTrial {
  /** Path of the log; the sheet lies beside it. */
  readonly log: string
  /** Column with the power; null where `stages` needs no choice. */
  readonly power: string | null
  readonly runs: readonly RecordedRun[]
  /** Moments of the log in which the machine slept: a run around one is no run of the test. */
  readonly sleeps: readonly { readonly atS: number; readonly forS: number }[]
}

/** How every sheet of a recording begins; tells it from one that somebody wrote. */
export const SHEET_MARK = '# Made by holdwatt'

/**
 * A test sheet that `fit` reads: machine, workload, and the runs of a recording with their times and scores. Runs that failed, or
 * printed no score, stand there as comments, with why.
 */
export function formatSheet(head: SheetHead, trial: RecordedTrial): string {
  const { workload, ambientC } = head
  const runs = runLines(head, trial)
  const scored = runs.filter((line) => line.startsWith('-'))
  const top = [
    `${SHEET_MARK} log. Machine, chip, chassis and workload are its guesses: set them right, then: holdwatt fit THIS-FILE`,
    ...pairs({ machine: head.machine, chip: head.chip, chassis: head.chassis }, ''),
    ambientC === null
      ? '# ambient: 22 degC      (the temperature of the room, if it was measured)'
      : `ambient: ${ambientC} degC`,
    'workload:',
    ...pairs({ name: workload.name, score: workload.score, better: workload.better }, '  '),
    'trials:',
    ...pairs({ log: basename(trial.log) }, '  - '),
    ...(trial.power === null ? [] : pairs({ power: trial.power }, '    ')),
  ]
  const list = scored.length > 0 ? ['    runs:'] : ['    # runs:']
  return `${[...top, ...list, ...runs.map((line) => `      ${line}`)].join('\n')}\n`
}

/** Each run as a line of the sheet. */
export function runLines({ workload }: SheetHead, trial: RecordedTrial): string[] {
  return trial.runs.map((run) => runLine(run, trial, workload))
}

/** Why a run is no run of the test; undefined when it is one. */
export function whyLeftOut(
  run: RecordedRun,
  sleeps: RecordedTrial['sleeps'],
): 'failed' | 'slept' | 'no-score' | undefined {
  if (!endedWell(run)) return 'failed'
  if (sleeps.some(({ atS, forS }) => atS < run.endS && atS + forS > run.startS)) return 'slept'
  return run.score === null ? 'no-score' : undefined
}

function runLine(run: RecordedRun, { sleeps }: RecordedTrial, workload: Workload): string {
  const times = `start: ${run.startS.toFixed(3)} s, end: ${run.endS.toFixed(3)} s`
  switch (whyLeftOut(run, sleeps)) {
    case undefined:
      return `- { ${times}, score: ${run.score} }`
    case 'failed':
      return `# run ${run.number} (${times}): left out, it ended with ${run.signal ?? `status ${run.status}`}`
    case 'slept':
      return `# run ${run.number} (${times}): left out, the machine slept`
    case 'no-score':
      return `# - { ${times}, score: }   # run ${run.number} printed none; put in its ${workload.score} and take the first # away`
  }
}

/** Keys and texts as YAML lines, quoted where they need it. */
function pairs(texts: { readonly [key: string]: string }, indent: string): string[] {
  return Object.entries(texts).map(
    ([key, text]) =>
      `${indent}${stringify({ [key]: text }, { lineWidth: 0, defaultStringType: 'PLAIN' }).trimEnd()}`,
  )
}
