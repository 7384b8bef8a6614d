import * as z from 'zod'
import { parseRunTime } from '../log/time/parseRunTime.js'
import { name, notNegative, objectNeeded, parsed, positive, quantity } from './quantity.js'

/** A trial of a sheet of many workloads: which it ran, and in which room. */
export function reviewTrialSchema(metrics: readonly string[]) {
  return trialSchema(metrics).extend({
    workload: name('the name of one of the workloads').optional(),
    ambient: quantity('temperature').optional(),
  })
}

/** A trial of a sheet of one workload; `metrics` are the keys of its runs that hold scores. */
export function trialSchema(metrics: readonly string[]) {
  const column = name('the name of a column of the log')
  return z.strictObject(
    {
      log: name('the path of a log, relative to the sheet').optional(),
      noted: z
        .array(levelSchema(), {
          error: 'expected a list of levels, such as `- { power: 58 W, for: 2 min }`',
        })
        .min(1, 'expected at least one level, such as `- { power: 44 W }`')
        .optional(),
      load: loadNumber().optional(),
      loads: givenLoadsSchema().optional(),
      from: parsed(parseRunTime).optional(),
      to: parsed(parseRunTime).optional(),
      device: name('which machine of a log of several').optional(),
      unit: name('which unit of the same chip: a second processor or card').optional(),
      mode: name('the name of the power mode').optional(),
      power: name('the name of a column of the log, or a formula over columns').optional(),
      rate: name('the name of the column with the pace of the work, or a formula over columns').optional(),
      time: column.optional(),
      temperature: column.optional(),
      clock: column.optional(),
      every: positive(quantity('time')).optional(),
      bits: name('the names of the bits of a mask of reasons, such as `4=power 8=heat`').optional(),
      runs: runsSchema(metrics).optional(),
    },
    { error: objectNeeded('`log` or `noted`, and `runs`') },
  )
}

/** Loads as a person set them. */
function givenLoadsSchema() {
  const load = z.strictObject(
    { from: parsed(parseRunTime), to: parsed(parseRunTime) },
    { error: objectNeeded('`from` and `to`') },
  )
  return z
    .array(load, { error: 'expected a list of loads, such as `- { from: 12 s, to: 840 s }`' })
    .min(1, 'expected at least one load, such as `- { from: 12 s, to: 840 s }`')
    .max(1000, 'at most 1000 loads fit in a trial')
}

/** Both forms of runs: a list, or where the table stands that holds them. */
export function runForms(metrics: readonly string[]) {
  const list = z.array(runSchema(metrics), {
    error: 'expected a list of runs, such as `- { start: 12 s, end: 71 s, score: 15210 }`',
  })
  const table = z.strictObject(
    {
      file: name('the path of a table of scores, relative to the sheet'),
      score: name('the heading of the column with the scores').optional(),
    },
    { error: objectNeeded('`file`, and `score` where several columns hold numbers') },
  )
  return { list, table }
}

/** Stands for both forms of runs in the schema: each has messages of its own, which a union would lose. */
export const RUNS_HERE = { title: 'runs' } as const

function runsSchema(metrics: readonly string[]) {
  const { list, table } = runForms(metrics)
  const isGroup = (value: unknown) => typeof value === 'object' && value !== null && !Array.isArray(value)
  return z
    .unknown()
    .meta(RUNS_HERE)
    .transform((value, context) => {
      const parsed = (isGroup(value) ? table : list).safeParse(value)
      if (parsed.success) return parsed.data
      for (const issue of parsed.error.issues) context.issues.push({ ...issue, input: value } as never)
      return z.NEVER
    })
}

function runSchema(metrics: readonly string[]) {
  const score = z.string({ error: 'expected the score of the run' }).min(1, 'expected the score of the run')
  const isAlone = metrics.length === 1 && metrics[0] === 'score'
  const scores = Object.fromEntries(
    metrics.map((metric) => [metric, isAlone ? score : score.optional()] as const),
  )
  return z
    .strictObject(
      {
        ...scores,
        start: parsed(parseRunTime).optional(),
        end: parsed(parseRunTime).optional(),
        after: notNegative(quantity('time')).optional(),
        for: positive(quantity('time')).optional(),
        of: runCount().optional(),
      },
      { error: objectNeeded('`score`, and `start` and `end` where known') },
    )
    .transform(({ start, end, after, for: forS, of, ...rest }) => {
      return {
        start,
        end,
        after,
        for: forS,
        of,
        scores: rest as Readonly<Record<string, string | undefined>>,
      }
    })
}

function levelSchema() {
  return z.strictObject(
    {
      power: positive(quantity('power')),
      for: positive(quantity('time')).optional(),
      clock: positive(quantity('frequency')).optional(),
      temperature: quantity('temperature').optional(),
      capped: quantity('share')
        .refine((percent) => percent >= 0 && percent <= 100, 'expected 0 to 100 %')
        .optional(),
    },
    { error: objectNeeded('`power`, and `for` where it did not last') },
  )
}

/** How many runs a score is the mean of. */
function runCount() {
  const needed = 'expected of how many runs the score is the mean, a whole number from 2 to 10000'
  return z
    .string({ error: needed })
    .regex(/^([2-9]|[1-9]\d{1,3}|10000)$/, needed)
    .transform(Number)
}

/** Which load of a log, counted from 1 as `stages` numbers them. */
function loadNumber() {
  const needed = 'the number of a load, counted from 1 as `stages` lists them, was needed'
  return z
    .string({ error: needed })
    .regex(/^[1-9]\d{0,3}$/, needed)
    .transform(Number)
}
