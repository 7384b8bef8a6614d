import { Document, isMap, isSeq, parseDocument, type YAMLMap, type YAMLSeq } from 'yaml'
import { InputError } from '../../errors.js'
import type { GivenTimes, LogOptions } from '../../log/trace.js'
import { parseQuantity } from '../../units.js'
import { meanOf } from '../meanOf.js'
import { CHASSIS_COMMENT, commentOn } from './commentOn.js'
import type { DraftScore } from './placeScores.js'

/** What a drafted sheet says beside its trials; what is not known is written as a name to be set. */
export interface DraftHead {
  readonly machine: string | null
  readonly chip: string | null
  readonly chassis: string | null
  readonly workload: string | null
  /** The score's unit, and which direction is better. */
  readonly score: string | null
  readonly better: 'higher' | 'lower' | null
}

/** One load as a trial of the sheet. */
export interface DraftTrial {
  /** Path of the log, relative to the sheet. */
  readonly log: string
  /** Number of the load in its log; null where the log has only one. */
  readonly load: number | null
  /** How the log was read, so that the sheet reads it alike. */
  readonly options?: LogOptions
  /** When it was and what it held, in words, for a comment. */
  readonly comment: string
  readonly runs: readonly DraftRun[]
}

/** A score, and where its run lies. */
type DraftRun = Omit<DraftScore, 'line'>

/**
 * A commented test sheet from what a log shows and a table of scores says.
 *
 * Drafted again over a sheet that is there already, it keeps all that a person wrote or changed, comments too: only trials that the sheet
 * lacks are added, and runs to a trial that has none.
 *
 * @param before - the sheet as it stands; undefined for a new one
 * @throws InputError `sheet-not-readable` when what stands there is no sheet
 */
export function formatDraft(
  head: DraftHead,
  trials: readonly DraftTrial[],
  before?: { readonly text: string; readonly file: string },
): string {
  if (before === undefined) return newSheet(head, trials).toString(LINES)
  const document = parseDocument(before.text)
  const list = document.get('trials')
  if (document.errors.length > 0 || !isMap(document.contents) || !isSeq(list) || document.has('workloads')) {
    throw noSheet(before.file)
  }
  addTrials(document, list as YAMLSeq<YAMLMap>, trials)
  return document.toString(LINES)
}

const LINES = { lineWidth: 0 } as const

function newSheet(head: DraftHead, trials: readonly DraftTrial[]): Document {
  const document = new Document({
    machine: head.machine ?? UNSET.machine,
    chip: head.chip ?? UNSET.chip,
    chassis: head.chassis ?? UNSET.chassis,
    workload: {
      name: head.workload ?? UNSET.workload,
      score: head.score ?? UNSET.score,
      better: head.better ?? 'higher',
    },
    trials: [],
  })
  document.commentBefore = HEADING
  const contents = document.contents as YAMLMap
  commentOn(contents, {
    chip: ' Sheets of the same chip and workload are fitted together.',
    chassis: CHASSIS_COMMENT,
    workload: ' better: higher for a rate, lower for a time (then the score is in s or min).',
  })
  addTrials(document, document.get('trials') as YAMLSeq<YAMLMap>, trials)
  return document
}

const HEADING = ' A test sheet, drafted from logs. Set the names right, then: holdwatt check THIS-FILE'

/** Stand in a new sheet where nothing was given. */
const UNSET = {
  machine: 'machine, to be named',
  chip: 'chip, to be named',
  chassis: 'chassis, to be named',
  workload: 'workload, to be named',
  score: 'points',
} as const

function addTrials(document: Document, list: YAMLSeq<YAMLMap>, trials: readonly DraftTrial[]): void {
  for (const trial of trials) {
    const there = list.items.find((item) => isMap(item) && isSame(item, trial))
    if (there === undefined) list.add(trialNode(document, trial))
    else if (!there.has('runs') && trial.runs.length > 0) there.set('runs', runsNode(document, trial.runs))
  }
}

function isSame(item: YAMLMap, { log, load }: DraftTrial): boolean {
  return (
    item.get('log') === log && (load === null || item.get('load') === undefined || item.get('load') === load)
  )
}

function trialNode(document: Document, { log, load, options, comment: words, runs }: DraftTrial): YAMLMap {
  const fields = { log, ...(load === null ? {} : { load }), ...optionKeys(options ?? {}) }
  const node = document.createNode(fields) as YAMLMap
  if (options?.loads) setGivenLoads(document, node, options.loads)
  node.commentBefore = runs.length > 0 ? ` ${words}` : ` ${words}\n${NO_RUNS}`
  if (runs.length > 0) node.set('runs', runsNode(document, runs))
  return node
}

/** Keys of a trial that have its log read as it was read, but for its loads. */
export function optionKeys(options: LogOptions): { readonly [key: string]: string } {
  const { from, to, everyS, power, time, temperature, clock, device, reasonBits } = options
  const keys = {
    from: from?.text,
    to: to?.text,
    device,
    power,
    time,
    temperature,
    clock,
    every: everyS === undefined ? undefined : `${everyS} s`,
    bits: reasonBits,
  }
  return Object.fromEntries(
    Object.entries(keys).flatMap(([key, value]) => (value === undefined ? [] : [[key, value]])),
  )
}

/** Writes loads as a person set them into a trial, marked as such; null takes them away, and what is found counts again. */
export function setGivenLoads(document: Document, trial: YAMLMap, loads: readonly GivenTimes[] | null): void {
  if (loads === null) return void trial.delete('loads')
  const list = document.createNode(
    loads.map(({ from, to }) => ({ from: from.text, to: to.text })),
  ) as YAMLSeq<YAMLMap>
  for (const item of list.items) item.flow = true
  list.commentBefore = ' set by hand, in place of what is found in the log'
  trial.set('loads', list)
}

/** Shows how scores are written, where there are none yet. */
const NO_RUNS = ' Its scores, below the log:  runs: [ { start: 12 s, end: 71 s, score: 15210 } ]'

function runsNode(document: Document, runs: readonly DraftRun[]): YAMLSeq {
  const lines = runs.map(({ score, startS, endS, of }) => ({
    ...(startS === null || endS === null ? {} : { start: secondsText(startS), end: secondsText(endS) }),
    score: plainScore(score),
    ...meanOf(of),
  }))
  const node = document.createNode(lines) as YAMLSeq<YAMLMap>
  node.items.forEach((item, index) => {
    item.flow = true
    saySupposed(item, runs[index]!)
  })
  return node
}

/** Says above a run that the number of runs it is of was not in the table. */
export function saySupposed(item: YAMLMap, { of, isSupposed }: Pick<DraftScore, 'of' | 'isSupposed'>): void {
  if (isSupposed === undefined) return
  item.commentBefore = ` Taken as the mean of the ${of} runs found, as the table does not say of how many it is.`
}

/** Tenths of a second: no finer than loggers sample. */
export function secondsText(value: number): string {
  return `${value.toFixed(1)} s`
}

/** A number stays a number in the sheet; a time such as 4:30 becomes seconds, which no reader of YAML takes for something else. */
export function plainScore(text: string): number | string {
  const bare = text.replace(/(?<=\d)[ \u00a0\u202f'’](?=\d{3})/g, '')
  if (/^\d+(\.\d+)?$/.test(bare)) return Number(bare)
  return /^\d+:\d{2}(:\d{2})?(\.\d+)?$/.test(bare) ? parseQuantity(bare, 'time') : text
}

function noSheet(file: string): InputError {
  return new InputError(
    'sheet-not-readable',
    'expected a test sheet of one workload with trials, to be added to',
    {
      where: { file },
      remedy: 'name another file with --out, or mend this one (holdwatt check tells what is wrong)',
    },
  )
}
