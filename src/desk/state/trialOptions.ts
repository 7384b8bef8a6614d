import { isMap, isSeq, type YAMLMap } from 'yaml'
import type { GivenTimes, LogOptions } from '../../log/trace.js'
import { optionKeys, setGivenLoads } from '../../sheet/draft/formatDraft.js'
import { parseReview } from '../../sheet/parseReview.js'
import { sheetDocument } from '../../sheet/parseYamlTree.js'

/** Keys of a trial that say how its log is read. */
const KEYS = ['from', 'to', 'device', 'power', 'time', 'temperature', 'clock', 'every', 'bits'] as const

/** How a log was read before and is read now. */
export interface ChangedOptions {
  readonly before: LogOptions
  readonly after: LogOptions
  /** For each load before, its place after; a trial of one load keeps that load. */
  readonly places?: readonly (number | undefined)[] | undefined
}

/**
 * A sheet whose trials read a log as it is read now. A trial that said something of its own keeps that; all else stays as it was
 * written, comments too.
 *
 * @param log - the log's file name
 */
export function withTrialOptions(text: string, log: string, change: ChangedOptions): string {
  const document = sheetDocument(text)
  const trials = document?.get('trials')
  if (document === null || !isSeq(trials)) return text
  const [before, after] = [optionKeys(change.before), optionKeys(change.after)]
  let touched = false
  for (const trial of trials.items) {
    if (!isMap(trial) || fileName(trial.get('log')) !== fileName(log)) continue
    for (const key of KEYS) {
      if (before[key] === after[key] || said(trial, key) !== before[key]) continue
      if (after[key] === undefined) trial.delete(key)
      else trial.set(key, after[key])
      touched = true
    }
    if (JSON.stringify(saidLoads(trial)) !== JSON.stringify(loadTexts(change.before.loads))) continue
    if (change.before.loads === change.after.loads) continue
    setGivenLoads(document, trial as YAMLMap, change.after.loads ?? null)
    renumber(trial as YAMLMap, change.places)
    touched = true
  }
  return touched ? document.toString({ lineWidth: 0 }) : text
}

function renumber(trial: YAMLMap, places: ChangedOptions['places']): void {
  const number = Number(said(trial, 'load'))
  const place = places?.[number - 1]
  if (place !== undefined) trial.set('load', place + 1)
}

/** Loads of a log, by number, that trials of a sheet are about; none for a log that is taken as a whole. */
export function loadsInUse(text: string, log: string): readonly number[] {
  const document = sheetDocument(text)
  const trials = document?.get('trials')
  if (document === null || !isSeq(trials)) return []
  return trials.items.flatMap((trial) => {
    if (!isMap(trial) || fileName(trial.get('log')) !== fileName(log)) return []
    const number = Number(said(trial, 'load'))
    return number > 0 ? [number] : []
  })
}

/** How the first trial of a sheet that is about a log reads it; null when none is, or the sheet can't be read. */
export function optionsOfTrial(text: string, log: string): LogOptions | null {
  try {
    const trials = parseReview(text, log).tests.flatMap(({ sheet }) => sheet.trials)
    const trial = trials.find((each) => each.kind === 'logged' && fileName(each.log) === fileName(log))
    return trial?.kind === 'logged' ? trial.options : null
  } catch {
    return null
  }
}

function said(trial: YAMLMap, key: string): string | undefined {
  const value = trial.get(key)
  return typeof value === 'string' || typeof value === 'number' ? String(value) : undefined
}

function saidLoads(trial: { readonly get: (key: string) => unknown }): readonly string[] | undefined {
  const loads = trial.get('loads')
  if (!isSeq(loads)) return undefined
  return loads.items.flatMap((item) => (isMap(item) ? [`${item.get('from')} ${item.get('to')}`] : []))
}

function loadTexts(loads: readonly GivenTimes[] | undefined): readonly string[] | undefined {
  return loads?.map(({ from, to }) => `${from.text} ${to.text}`)
}

function fileName(path: unknown): string {
  return String(path).split(/[\\/]/).at(-1)!
}
