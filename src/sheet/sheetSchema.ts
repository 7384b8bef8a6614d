import * as z from 'zod'
import { InputError } from '../errors.js'
import { parseRunTime } from '../log/time/parseRunTime.js'
import { type Dimension, parseQuantity } from '../units.js'

/**
 * The shape of a test sheet (section 2 of cli/README.md), from text values to quantities in W, s and degrees C.
 *
 * Scores stay text here: their unit is known only once the workload is. Every message says what was expected; the
 * reader adds where it stands and what came.
 */
export const sheetSchema = z.strictObject({
  machine: name('the name of the machine, such as `Heron 14`'),
  chip: name('the name of the chip; sheets with the same chip and workload are fitted together'),
  chassis: name('the name of the chassis, such as `Heron slim`'),
  ambient: quantity('temperature').optional(),
  workload: z.strictObject(
    {
      name: name('the name of the workload'),
      score: name("the score's unit, any word; `s` or `min` for a time"),
      better: z.enum(['higher', 'lower'], {
        error: 'expected `higher` (the score is a rate) or `lower` (the score is a time for fixed work)',
      }),
    },
    { error: objectNeeded('`name`, `score` and `better`') },
  ),
  trials: z
    .array(trialSchema(), {
      error: 'expected a list of trials, each beginning with `- log:` or `- noted:`',
    })
    .min(1, 'expected at least one trial: `- log:` or `- noted:`')
    .max(200, 'at most 200 trials fit in a sheet'),
})

export type RawSheet = z.output<typeof sheetSchema>
export type RawTrial = RawSheet['trials'][number]

/** Keys that a sheet may hold, by the name of the part they stand in; for suggesting the one that was meant. */
export const sheetKeys: { readonly [part: string]: readonly string[] } = {
  sheet: ['machine', 'chip', 'chassis', 'ambient', 'workload', 'trials'],
  workload: ['name', 'score', 'better'],
  trials: [
    'log',
    'load',
    'from',
    'to',
    'device',
    'noted',
    'mode',
    'power',
    'time',
    'temperature',
    'clock',
    'every',
    'bits',
    'runs',
  ],
  runs: ['start', 'end', 'score', 'after', 'for', 'file'],
  noted: ['power', 'for'],
}

function trialSchema() {
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
      from: parsed(parseRunTime).optional(),
      to: parsed(parseRunTime).optional(),
      device: name('which machine of a log of several').optional(),
      mode: name('the name of the power mode').optional(),
      power: name('the name of a column of the log, or a formula over columns').optional(),
      time: column.optional(),
      temperature: column.optional(),
      clock: column.optional(),
      every: positive(quantity('time')).optional(),
      bits: name('the names of the bits of a mask of reasons, such as `4=power 8=heat`').optional(),
      runs: runsSchema().optional(),
    },
    { error: objectNeeded('`log` or `noted`, and `runs`') },
  )
}

/** A list of runs, or where the table stands that holds them. */
function runsSchema() {
  const list = z.array(runSchema(), {
    error: 'expected a list of runs, such as `- { start: 12 s, end: 71 s, score: 15210 }`',
  })
  const table = z.strictObject(
    {
      file: name('the path of a table of scores, relative to the sheet'),
      score: name('the heading of the column with the scores').optional(),
    },
    { error: objectNeeded('`file`, and `score` where several columns hold numbers') },
  )
  const isGroup = (value: unknown) => typeof value === 'object' && value !== null && !Array.isArray(value)
  return z.unknown().transform((value, context) => {
    const parsed = (isGroup(value) ? table : list).safeParse(value)
    if (parsed.success) return parsed.data
    for (const issue of parsed.error.issues) context.issues.push({ ...issue, input: value } as never)
    return z.NEVER
  })
}

function runSchema() {
  return z.strictObject(
    {
      start: parsed(parseRunTime).optional(),
      end: parsed(parseRunTime).optional(),
      score: z.string({ error: 'expected the score of the run' }).min(1, 'expected the score of the run'),
      after: notNegative(quantity('time')).optional(),
      for: positive(quantity('time')).optional(),
    },
    { error: objectNeeded('`score`, and `start` and `end` where known') },
  )
}

function levelSchema() {
  return z.strictObject(
    {
      power: positive(quantity('power')),
      for: positive(quantity('time')).optional(),
    },
    { error: objectNeeded('`power`, and `for` where it did not last') },
  )
}

/** A text with something to see in it. Control characters are refused, so that no name can drive a terminal. */
function name(expected: string) {
  return z
    .string({ error: `expected ${expected}` })
    .trim()
    .min(1, `expected ${expected}`)
    .max(200, 'expected at most 200 characters')
    .regex(/^\P{Cc}*$/u, 'expected a text without control characters')
}

/** Which load of a log, counted from 1 as `stages` numbers them. */
function loadNumber() {
  const needed = 'the number of a load, counted from 1 as `stages` lists them, was needed'
  return z
    .string({ error: needed })
    .regex(/^[1-9]\d{0,3}$/, needed)
    .transform(Number)
}

function quantity(dimension: Dimension) {
  return parsed((text) => parseQuantity(text, dimension))
}

/** Runs a parser of text, turning its complaint into one about this place in the sheet. */
function parsed<T>(parse: (text: string) => T): z.ZodType<T, string> {
  return z
    .string({ error: 'expected one value, not a list or a group of keys' })
    .transform((text, context): T => {
      try {
        return parse(text)
      } catch (error) {
        if (!(error instanceof InputError)) throw error
        const remedy = error.details.remedy
        context.addIssue({ code: 'custom', message: error.message, params: { code: error.code, remedy } })
        return z.NEVER
      }
    })
}

function positive(schema: z.ZodType<number, string>) {
  return schema.refine((value) => value > 0, 'expected more than zero')
}

function notNegative(schema: z.ZodType<number, string>) {
  return schema.refine((value) => value >= 0, 'expected zero or more')
}

function objectNeeded(keys: string) {
  return (issue: { code?: string }) =>
    issue.code === 'invalid_type' ? `expected the keys ${keys}` : undefined
}
