import * as z from 'zod'
import { name, objectNeeded, quantity } from './quantity.js'
import { reviewTrialSchema, trialSchema } from './trialSchema.js'

/**
 * The shape of a test sheet of one workload (section 2 of cli/README.md), from text values to quantities in W, s and degrees C.
 *
 * Scores stay text here: their unit is known only once the workload is. Every message says what was expected; the
 * reader adds where it stands and what came.
 */
export const sheetSchema = z.strictObject({
  ...machineKeys(),
  workload: z.strictObject(
    { name: name('the name of the workload'), score: unitName(), better: direction() },
    { error: objectNeeded('`name`, `score` and `better`') },
  ),
  trials: trialList(trialSchema(['score'])),
})

/**
 * The shape of a sheet of many workloads, each with one metric or several; its runs hold a value for each.
 *
 * @param metrics - names of all metrics of the sheet: they are keys of its runs
 */
export function reviewSchema(metrics: readonly string[]) {
  return z.strictObject({
    ...machineKeys(),
    workloads: z
      .array(workloadSchema(), { error: 'expected a list of workloads, each beginning with `- name:`' })
      .min(1, 'expected at least one workload: `- name:`')
      .max(60, 'at most 60 workloads fit in a sheet'),
    trials: trialList(reviewTrialSchema(metrics)),
  })
}

export type RawTrial = z.output<typeof sheetSchema>['trials'][number]
export type RawReview = z.output<ReturnType<typeof reviewSchema>>
export type RawWorkload = RawReview['workloads'][number]

/** Keys of a run that are no metric. */
export const RUN_KEYS: readonly string[] = ['start', 'end', 'after', 'for', 'of', 'file']

/** Keys that a sheet may hold, by the name of the part they stand in; for suggesting the one that was meant. */
export const sheetKeys: { readonly [part: string]: readonly string[] } = {
  sheet: ['machine', 'chip', 'chassis', 'ambient', 'workload', 'workloads', 'trials'],
  workload: ['name', 'score', 'better'],
  workloads: ['name', 'metrics', 'score', 'better', 'fixed'],
  metrics: ['better', 'unit'],
  trials: [
    'workload',
    'ambient',
    'log',
    'load',
    'loads',
    'from',
    'to',
    'device',
    'noted',
    'mode',
    'power',
    'rate',
    'time',
    'temperature',
    'clock',
    'every',
    'bits',
    'runs',
  ],
  runs: ['start', 'end', 'score', 'after', 'for', 'of', 'file'],
  noted: ['power', 'for'],
  loads: ['from', 'to'],
}

function machineKeys() {
  return {
    machine: name('the name of the machine, such as `Heron 14`'),
    chip: name('the name of the chip; sheets with the same chip and workload are fitted together'),
    chassis: name('the name of the chassis, such as `Heron slim`'),
    ambient: quantity('temperature').optional(),
  }
}

function workloadSchema() {
  const metric = z.strictObject(
    { better: direction(), unit: unitName().optional() },
    { error: objectNeeded('`better`, and `unit` where it is another word than the metric') },
  )
  const metrics = z.record(name('the name of a metric'), metric, {
    error: 'expected metrics, such as `{ fps: { better: higher }, time: { better: lower, unit: s } }`',
  })
  return z.strictObject(
    {
      name: name('the name of the workload'),
      metrics: metrics.optional(),
      score: unitName().optional(),
      better: direction().optional(),
      fixed: z
        .enum(['work', 'time'], {
          error: 'expected `work` (every run does the same) or `time` (every run takes as long)',
        })
        .optional(),
    },
    { error: objectNeeded('`name`, and `metrics` or `score` and `better`') },
  )
}

function unitName() {
  return name("the score's unit, any word; `s` or `min` for a time")
}

function direction() {
  return z.enum(['higher', 'lower'], {
    error: 'expected `higher` (the score is a rate) or `lower` (the score is a time for fixed work)',
  })
}

function trialList<Trial extends z.ZodType>(trial: Trial) {
  return z
    .array(trial, {
      error: 'expected a list of trials, each beginning with `- log:` or `- noted:`',
    })
    .min(1, 'expected at least one trial: `- log:` or `- noted:`')
    .max(200, 'at most 200 trials fit in a sheet')
}
