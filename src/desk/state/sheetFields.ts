import { type Document, isMap, isSeq } from 'yaml'
import { parseSheet } from '../../sheet/parseSheet.js'
import { sheetDocument } from '../../sheet/parseYamlTree.js'
import type { LoggedRun } from '../../sheet/testSheet.js'

/** What the form of a sheet shows; empty where the sheet says nothing. */
export interface SheetFields {
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  readonly ambient: string
  readonly workload: string
  readonly score: string
  readonly better: string
  /** The log and the load of the first trial. */
  readonly log: string
  readonly load: string
  readonly trials: number
  /** Trials that have scores. */
  readonly scored: number
  /** Runs of the first trial, one a line: start, end and score, set apart by tabs. */
  readonly scores: string
}

/** Where each field stands in a sheet. */
const PLACES = {
  machine: ['machine'],
  chip: ['chip'],
  chassis: ['chassis'],
  ambient: ['ambient'],
  workload: ['workload', 'name'],
  score: ['workload', 'score'],
  better: ['workload', 'better'],
  load: ['trials', 0, 'load'],
} as const

export type SheetField = keyof typeof PLACES

/**
 * The fields of a sheet as far as they can be read: whether it is right is told by whoever fits it.
 *
 * @param asked - which test of a sheet of many workloads; its fields are those that a sheet of it alone would have
 */
export function sheetFields(text: string, asked?: string): SheetFields | null {
  const key = asked === undefined ? text : `${asked}\n${text}`
  const known = seen.get(key)
  if (known !== undefined) return known
  const fields = asked === undefined ? readFields(text) : fieldsOfTest(text, asked)
  if (seen.size >= MOST_SEEN) seen.clear()
  seen.set(key, fields)
  return fields
}

/** Every part of the desk asks for the fields of the same few texts. */
const seen = new Map<string, SheetFields | null>()
const MOST_SEEN = 100

function readFields(text: string): SheetFields | null {
  const document = sheetDocument(text)
  if (document === null || !isMap(document.contents)) return null
  const at = (path: readonly (string | number)[]) => said(document, path)
  const trials = document.get('trials')
  return {
    machine: at(PLACES.machine),
    chip: at(PLACES.chip),
    chassis: at(PLACES.chassis),
    ambient: at(PLACES.ambient),
    workload: at(PLACES.workload),
    score: at(PLACES.score),
    better: at(PLACES.better) || 'higher',
    log: at(['trials', 0, 'log']),
    load: at(PLACES.load),
    trials: isSeq(trials) ? trials.items.length : 0,
    scored: isSeq(trials) ? trials.items.filter(hasScores).length : 0,
    scores: scoreLines(document),
  }
}

function fieldsOfTest(text: string, asked: string): SheetFields | null {
  const shared = readFields(text)
  if (shared === null) return null
  try {
    const { workload, trials } = parseSheet(text, 'sheet', asked)
    const [first] = trials
    return {
      ...shared,
      ...{ workload: workload.name, score: workload.score, better: workload.better },
      log: first?.kind === 'logged' ? first.log : '',
      load: first?.kind === 'logged' ? String(first.load ?? '') : '',
      trials: trials.length,
      scored: trials.filter(
        (trial) => trial.runs.length > 0 || (trial.kind === 'logged' && trial.table !== null),
      ).length,
      scores: first?.kind === 'logged' ? linesOfRuns(first.runs) : '',
    }
  } catch {
    return shared
  }
}

function linesOfRuns(runs: readonly LoggedRun[]): string {
  return linesOf(
    runs.map(({ start, end, score, of }) => {
      return [start?.text ?? '', end?.text ?? '', String(score), String(of ?? '')]
    }),
  )
}

/** The sheet with one field changed, all else as it was written, comments too. An empty value takes the key away. */
export function withField(text: string, field: SheetField, value: string): string {
  const document = sheetDocument(text)
  if (document === null || !isMap(document.contents)) return text
  const plain = value.trim()
  if (plain === '' && (field === 'ambient' || field === 'load')) document.deleteIn(PLACES[field])
  else document.setIn(PLACES[field], field === 'load' ? Number(plain) : plain)
  return document.toString({ lineWidth: 0 })
}

function hasScores(trial: unknown): boolean {
  const runs: unknown = isMap(trial) ? trial.get('runs') : undefined
  return isSeq(runs) ? runs.items.length > 0 : isMap(runs) && runs.has('file')
}

function scoreLines(document: Document): string {
  const runs = document.getIn(['trials', 0, 'runs'])
  if (!isSeq(runs)) return ''
  const lines = runs.items.map((_, index) => {
    const cell = (key: string) => said(document, ['trials', 0, 'runs', index, key])
    return [cell('start'), cell('end'), cell('score'), cell('of')]
  })
  return linesOf(lines)
}

function linesOf(lines: readonly (readonly string[])[]): string {
  const headings = ['start', 'end', 'score', 'runs']
  const isTold = headings.map((heading, j) => heading === 'score' || lines.some((line) => line[j] !== ''))
  // Times stand together.
  isTold[1] = isTold[0]!
  const rows = lines.map((line) => line.filter((_, j) => isTold[j]).join('\t'))
  const named = headings.filter((_, j) => isTold[j])
  return named.length === 1 ? rows.join('\n') : [named.join('\t'), ...rows].join('\n')
}

function said(document: Document, path: readonly (string | number)[]): string {
  const value = document.getIn(path)
  return typeof value === 'string' || typeof value === 'number' ? String(value) : ''
}
