import { Document, isMap, isSeq, parseDocument, YAMLMap, type YAMLSeq } from 'yaml'
import { InputError } from '../../errors.js'
import type { LogOptions } from '../../log/trace.js'
import { meanOf } from '../meanOf.js'
import { CHASSIS_COMMENT, commentOn } from './commentOn.js'
import { optionKeys, plainScore, saySupposed, secondsText } from './formatDraft.js'
import { isSameName } from './logsNaming.js'
import type { TableMetric } from './metricColumns.js'

/** What a drafted sheet of many workloads says of its machine. */
export interface ReviewHead {
  readonly machine: string | null
  readonly chip: string | null
  readonly chassis: string | null
}

/** A workload with its metrics, of which it has at least one. */
export interface DraftWorkload {
  readonly name: string
  readonly metrics: readonly TableMetric[]
}

/** One workload in one mode as a trial of the sheet. */
export interface ReviewTrial {
  readonly workload: string
  readonly mode: string | null
  /** Path of the log, relative to the sheet; null where no power was logged. */
  readonly log: string | null
  /** Number of the load in its log; null where the log has only one. */
  readonly load: number | null
  /** How the log was read, so that the sheet reads it alike. */
  readonly options: LogOptions
  /** When it was and what it held, in words, for a comment; null where no power was logged. */
  readonly comment: string | null
  readonly runs: readonly ReviewRun[]
}

export interface ReviewRun {
  readonly startS: number | null
  readonly endS: number | null
  /** How many runs the values are the mean of, and whether that is the number found; left out: one. */
  readonly of?: number
  readonly isSupposed?: true
  /** Values as written, by the name of the metric. */
  readonly values: { readonly [metric: string]: string }
}

export interface ReviewDraftParts {
  readonly head: ReviewHead
  readonly workloads: readonly DraftWorkload[]
  readonly trials: readonly ReviewTrial[]
}

/**
 * A commented sheet of many workloads from what logs show and a table of scores says.
 *
 * Drafted again over a sheet that is there already, it keeps all that a person wrote or changed, comments too: only workloads, metrics and
 * trials that the sheet lacks are added, and runs to a trial that has none. A workload that a person gave another name is known by its trials:
 * those of the same load.
 *
 * @param before - the sheet as it stands; undefined for a new one
 * @throws InputError `sheet-not-readable` when what stands there is no sheet of many workloads
 */
export function formatReviewDraft(
  { head, workloads, trials }: ReviewDraftParts,
  before?: { readonly text: string; readonly file: string },
): string {
  const document = before === undefined ? newSheet(head) : parseDocument(before.text)
  const [lists, list] = [document.get('workloads'), document.get('trials')]
  if (document.errors.length > 0 || !isMap(document.contents) || !isSeq(lists) || !isSeq(list))
    throw noReview(before?.file)
  const [named, tried] = [lists as YAMLSeq<YAMLMap>, list as YAMLSeq<YAMLMap>]
  const pairs = trials.map((trial) => ({ trial, there: findTrial(tried, trial, trials) }))
  for (const workload of workloads) {
    const own = pairs.filter(({ trial }) => isSameName(trial.workload, workload.name))
    // All of its trials stand under a name that a person gave: so does the workload.
    if (
      own.length > 0 &&
      own.every(({ there }) => there !== undefined && !isNamed(there, 'workload', workload.name))
    )
      continue
    addWorkload(document, named, workload)
  }
  for (const { trial, there } of pairs) {
    const keys = keysOf(named, there?.get('workload') ?? trial.workload)
    if (there === undefined) tried.add(trialNode(document, trial, keys))
    else if (!there.has('runs') && trial.runs.length > 0)
      there.set('runs', runsNode(document, trial.runs, keys))
  }
  return document.toString({ lineWidth: 0 })
}

function newSheet({ machine, chip, chassis }: ReviewHead): Document {
  // Unnamed chips of two machines are two chips: one name would have them fitted as one.
  const of = machine ?? 'machine'
  const document = new Document({
    machine: machine ?? 'machine, to be named',
    chip: chip ?? `unnamed chip of ${of}`,
    chassis: chassis ?? `unnamed chassis of ${of}`,
    workloads: [],
    trials: [],
  })
  document.commentBefore =
    ' A test sheet of many workloads, drafted from logs. Set the names right, then: holdwatt check THIS-FILE'
  const contents = document.contents as YAMLMap
  commentOn(contents, {
    chip: ' Sheets of the same chip share one score curve in each workload.',
    chassis: CHASSIS_COMMENT,
    workloads: ' What was run, and how it counts. The first metric of a workload stands for it in means.',
    trials: ' Each names its workload and power mode. Without a log, scores are told as tested.',
  })
  return document
}

function findTrial(
  list: YAMLSeq<YAMLMap>,
  trial: ReviewTrial,
  all: readonly ReviewTrial[],
): YAMLMap | undefined {
  const same = list.items.filter((item) => {
    if (!isMap(item)) return false
    if (trial.log === null) return !item.has('log') && isNamed(item, 'mode', trial.mode)
    const load = item.get('load')
    return item.get('log') === trial.log && (trial.load === null || load === undefined || load === trial.load)
  })
  const own = same.find((item) => isNamed(item, 'workload', trial.workload))
  if (own !== undefined || trial.log === null) return own
  return same.find((item) => !all.some(({ workload }) => isNamed(item, 'workload', workload)))
}

function isNamed(item: YAMLMap, key: string, name: string | null): boolean {
  const there = item.get(key)
  return name === null ? there === undefined : typeof there === 'string' && isSameName(there, name)
}

/** Adds a workload, or the metrics that one that is there lacks. */
function addWorkload(document: Document, list: YAMLSeq<YAMLMap>, { name, metrics }: DraftWorkload): void {
  const there = list.items.find((item) => isMap(item) && isNamed(item, 'name', name))
  const fields = ({ name: metric, unit, better }: TableMetric) => ({
    better: better ?? 'higher',
    ...(unit === metric ? {} : { unit }),
  })
  if (there === undefined) {
    const [only] = metrics
    const isShort = metrics.length === 1 && (only!.name === only!.unit || only!.name === 'score')
    const node = document.createNode(
      isShort
        ? { name, score: only!.unit, better: only!.better ?? 'higher' }
        : { name, metrics: Object.fromEntries(metrics.map((metric) => [metric.name, fields(metric)])) },
    ) as YAMLMap
    node.flow = isShort
    for (const metric of metricMap(node)?.items ?? []) if (isMap(metric.value)) metric.value.flow = true
    return void list.add(node)
  }
  const map = metricMap(there)
  for (const metric of metrics) {
    if (map === undefined || map.has(metric.name)) continue
    const node = document.createNode(fields(metric)) as YAMLMap
    node.flow = true
    map.set(metric.name, node)
  }
}

function metricMap(workload: YAMLMap): YAMLMap | undefined {
  const map = workload.get('metrics')
  return isMap(map) ? (map as YAMLMap) : undefined
}

/** The values of a run by their keys in it: `score` where the workload has the short form, and so one metric only. */
type KeyedValues = (values: ReviewRun['values']) => readonly (readonly [key: string, text: string])[]

function keysOf(list: YAMLSeq<YAMLMap>, workload: unknown): KeyedValues {
  const there = list.items.find(
    (item) => isMap(item) && typeof workload === 'string' && isNamed(item, 'name', workload),
  )
  if (there === undefined || metricMap(there) !== undefined) return (values) => Object.entries(values)
  const unit = String(there.get('score'))
  return (values) => {
    const only = Object.entries(values)
    const own = only.find(([metric]) => isSameName(metric, unit)) ?? only[0]
    return own === undefined ? [] : [['score', own[1]]]
  }
}

function trialNode(document: Document, trial: ReviewTrial, keyed: KeyedValues): YAMLMap {
  const { workload, mode, log, load, options, runs } = trial
  const node = document.createNode({
    workload,
    ...(mode === null ? {} : { mode }),
    ...(log === null ? {} : { log }),
    ...(load === null ? {} : { load }),
    ...(log === null ? {} : optionKeys(options)),
  }) as YAMLMap
  node.commentBefore = ` ${trial.comment ?? 'No power was logged.'}`
  if (runs.length === 0)
    node.commentBefore += '\n Its scores, below the log:  runs: [ { start: 12 s, end: 71 s, score: 15210 } ]'
  else node.set('runs', runsNode(document, runs, keyed))
  return node
}

function runsNode(document: Document, runs: readonly ReviewRun[], keyed: KeyedValues): YAMLSeq {
  const lines = runs.map(({ startS, endS, of, values }) => ({
    ...(startS === null || endS === null ? {} : { start: secondsText(startS), end: secondsText(endS) }),
    ...Object.fromEntries(keyed(values).map(([key, text]) => [key, plainScore(text)])),
    ...meanOf(of),
  }))
  const node = document.createNode(lines) as YAMLSeq<YAMLMap>
  node.items.forEach((item, index) => {
    if (!(item instanceof YAMLMap)) return
    item.flow = true
    saySupposed(item, runs[index]!)
  })
  return node
}

function noReview(file: string | undefined): InputError {
  return new InputError(
    'sheet-not-readable',
    'expected a test sheet with `workloads` and `trials`, to be added to',
    {
      ...(file === undefined ? {} : { where: { file } }),
      remedy: 'name another file with --out, or mend this one (holdwatt check tells what is wrong)',
    },
  )
}
