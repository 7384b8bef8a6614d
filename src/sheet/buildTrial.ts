import { InputError, type InputLocation } from '../errors.js'
import type { LogOptions } from '../log/trace.js'
import type { Workload } from '../physics/chip/chip.js'
import { meanOf } from './meanOf.js'
import { parseScore, secondsPer } from './parseScore.js'
import type { RawTrial } from './sheetSchema.js'
import type { LoggedTrial, NotedTrial, Trial } from './testSheet.js'

interface TrialContext {
  readonly workload: Workload
  /** The key that its score stands under in a run. */
  readonly metric: string
  readonly locate: (path: readonly PropertyKey[]) => InputLocation
}

/**
 * Makes a trial of a sheet from its checked keys: a logged one or a noted one, never both.
 *
 * @throws InputError `trial-…`, `run-…`, `score-invalid` at the line of the value
 */
export function buildTrial(raw: RawTrial, context: TrialContext): Trial {
  const at = context.locate([])
  if (raw.log !== undefined && raw.noted !== undefined) {
    throw new InputError('trial-both-kinds', 'a trial has a `log` or `noted` levels, this has both', {
      where: at,
      remedy: 'make two trials of it',
    })
  }
  if (raw.log !== undefined) return loggedTrial(raw, raw.log, context)
  if (raw.noted !== undefined) return notedTrial(raw, raw.noted, context)
  throw new InputError(
    'trial-without-power',
    'a trial needs a `log`, or levels `noted` by hand; this has neither',
    {
      where: at,
      remedy: 'add `log: FILE.csv`, or `noted:` with a list of `{ power: 58 W, for: 2 min }`',
    },
  )
}

function loggedTrial(raw: RawTrial, log: string, context: TrialContext): LoggedTrial {
  if (raw.rate !== undefined && raw.runs !== undefined) {
    throw new InputError(
      'rate-and-runs',
      'a trial has scored `runs`, or a `rate` column of its log; this has both',
      {
        where: context.locate(['rate']),
        remedy: 'make two trials of it, of different logs: one score must not count twice',
      },
    )
  }
  const table = raw.runs === undefined || Array.isArray(raw.runs) ? null : raw.runs
  const runs = listedRuns(raw, context).map(({ run, text, index }) => {
    const where = context.locate(['runs', index])
    if (run.after !== undefined || run.for !== undefined) {
      throw new InputError(
        'run-key-misplaced',
        '`after` and `for` belong to runs of a trial that was `noted`',
        {
          where,
          remedy: 'give `start` and `end`, or leave the times out: runs are then found in the log, in order',
        },
      )
    }
    if ((run.start === undefined) !== (run.end === undefined)) {
      throw new InputError('run-time-half', 'expected both `start` and `end` of a run, or neither, got one', {
        where,
        remedy: 'add the missing time, or leave both out: runs are then found in the log, in order',
      })
    }
    const score = scoreOf(text, index, context)
    return { start: run.start ?? null, end: run.end ?? null, score, ...meanOf(run.of), at: where }
  })
  return {
    kind: 'logged',
    log,
    load: raw.load ?? null,
    unit: raw.unit ?? null,
    mode: raw.mode ?? null,
    options: logOptions(raw),
    runs,
    table: table === null ? null : { file: table.file, score: columnOf(table.score, context) },
    at: context.locate([]),
  }
}

/**
 * Runs that the sheet itself lists, as far as they have this metric. Runs without times are found by their order, so that of those none may
 * lack a metric that others have.
 */
function listedRuns({ runs }: RawTrial, { metric, locate }: TrialContext) {
  const listed = Array.isArray(runs) ? runs : []
  const scored = listed.flatMap((run, index) => {
    const text = run.scores[metric]
    return text === undefined ? [] : [{ run, text, index }]
  })
  const lacking = listed.findIndex((run) => run.scores[metric] === undefined && run.start === undefined)
  if (scored.length > 0 && scored.some(({ run }) => run.start === undefined) && lacking >= 0) {
    throw new InputError(
      'run-metric-missing',
      `a run without times lacks \`${metric}\`, which others of its trial have: which run of the log is whose can't be told`,
      {
        where: locate(['runs', lacking]),
        remedy: 'give the missing value, or `start` and `end` of the runs',
      },
    )
  }
  return scored
}

/** The heading of a table's column of scores: as the sheet names it, else that of the metric. */
function columnOf(named: string | undefined, { metric }: TrialContext): string | null {
  return named ?? (metric === 'score' ? null : metric)
}

function logOptions(raw: RawTrial): LogOptions {
  return {
    ...(raw.device === undefined ? {} : { device: raw.device }),
    ...(raw.power === undefined ? {} : { power: raw.power }),
    ...(raw.rate === undefined ? {} : { rate: raw.rate }),
    ...(raw.time === undefined ? {} : { time: raw.time }),
    ...(raw.temperature === undefined ? {} : { temperature: raw.temperature }),
    ...(raw.clock === undefined ? {} : { clock: raw.clock }),
    ...(raw.bits === undefined ? {} : { reasonBits: raw.bits }),
    ...(raw.from === undefined ? {} : { from: raw.from }),
    ...(raw.to === undefined ? {} : { to: raw.to }),
    ...(raw.loads === undefined ? {} : { loads: raw.loads }),
    ...(raw.every === undefined ? {} : { everyS: raw.every }),
  }
}

function notedTrial(raw: RawTrial, noted: NonNullable<RawTrial['noted']>, context: TrialContext): NotedTrial {
  for (const [index, level] of noted.slice(0, -1).entries()) {
    if (level.for === undefined) {
      throw new InputError(
        'level-without-length',
        'every noted level but the last needs how long it was held',
        {
          where: context.locate(['noted', index]),
          remedy: 'add `for: 2 min` or so',
        },
      )
    }
  }
  if (raw.runs !== undefined && !Array.isArray(raw.runs)) {
    throw new InputError(
      'run-table-misplaced',
      'a table of runs belongs to a trial with a `log`, this has `noted` levels',
      {
        where: context.locate(['runs']),
        remedy: 'list the runs: `runs: [ { score: 17100, after: 0 s } ]`',
      },
    )
  }
  const runs = listedRuns(raw, context).map(({ run, text, index }) => {
    const where = context.locate(['runs', index])
    if (run.start !== undefined || run.end !== undefined) {
      throw new InputError(
        'run-key-misplaced',
        '`start` and `end` count from a log, and this trial has none',
        {
          where,
          remedy:
            'give `after: 15 min` (since the load began), and `for: 60 s` if the length of a run is known',
        },
      )
    }
    const score = scoreOf(text, index, context)
    const forS = run.for ?? lengthOf(score, context.workload)
    return { afterS: run.after ?? 0, forS, score, ...meanOf(run.of), at: where }
  })
  const levels = noted.map((level) => ({
    powerW: level.power,
    forS: level.for ?? null,
    clockHz: level.clock ?? null,
    temperatureC: level.temperature ?? null,
    cappedPct: level.capped ?? null,
  }))
  const { unit = null, mode = null } = raw
  return { kind: 'noted', unit, mode, levels, runs, at: context.locate([]) }
}

/** A time for fixed work is the length of its run; a rate says nothing of it. */
function lengthOf(score: number, workload: Workload): number | null {
  const unitS = workload.better === 'lower' ? secondsPer(workload.score) : undefined
  return unitS === undefined ? null : score * unitS
}

function scoreOf(text: string, index: number, context: TrialContext): number {
  try {
    return parseScore(text, context.workload)
  } catch (error) {
    throw error instanceof InputError ? error.at(context.locate(['runs', index, context.metric])) : error
  }
}
