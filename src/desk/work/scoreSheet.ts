import { isMap, isSeq } from 'yaml'
import { chooseLoads } from '../../machine/chooseLoads.js'
import { draftSheet } from '../../machine/draftSheet.js'
import { type DraftHead, type DraftTrial, formatDraft } from '../../sheet/draft/formatDraft.js'
import { parseScoreTable } from '../../sheet/draft/parseScoreTable.js'
import type { DraftLoad } from '../../sheet/draft/placeScores.js'
import { sheetDocument } from '../../sheet/parseYamlTree.js'
import { sayMoment } from '../../show/figures/sayDuration.js'
import type { LogFile } from './logFile.js'
import type { LogShelf } from './logShelf.js'
import type { SheetFile } from './question.js'
import type { TestShelf } from './testShelf.js'

/** A sheet with scores, and those that found no run. */
export interface ScoresPlaced {
  readonly text: string
  readonly placed: number
  readonly unplaced: readonly string[]
}

const NO_NAMES: DraftHead = {
  machine: null,
  chip: null,
  chassis: null,
  workload: null,
  score: null,
  better: null,
}

/** A new sheet for a log, or for one of its loads, as `holdwatt draft` begins one. */
export async function newSheet(
  { log, load, machine }: { readonly log: LogFile; readonly load: number | null; readonly machine: string },
  shelf: LogShelf,
): Promise<string> {
  const { loads } = await shelf.read(log)
  const chosen = load === null ? loads[0] : loads[load - 1]
  const comment = chosen === undefined ? log.name : `${sayMoment(chosen.startS)} to ${sayMoment(chosen.endS)}`
  const { file: _file, load: _load, ...options } = log.options
  return formatDraft({ ...NO_NAMES, machine }, [{ log: log.name, load, options, comment, runs: [] }])
}

/**
 * Puts scores into the first trial of a sheet, in place of those that it has: each finds its run by time or order; what fits none is told.
 *
 * @param table - rows as pasted from a spreadsheet, with headings or as one column of numbers
 */
export async function scoreSheet(sheet: SheetFile, table: string, tests: TestShelf): Promise<ScoresPlaced> {
  const cleared = withoutRuns(sheet.text)
  if (table.trim() === '') return { text: cleared, placed: 0, unplaced: [] }
  const test = await tests.test({ ...sheet, text: cleared })
  const read = test.trials[0]
  if (read?.kind !== 'logged') return { text: sheet.text, placed: 0, unplaced: ['the sheet names no log'] }
  const { trial, log } = read
  const { loads, numbers } = chooseLoads(log.trace, {
    load: trial.load,
    loads: trial.options.loads,
    log: trial.log,
  })
  const drafted: DraftLoad[] = loads.map((load, index) => {
    return { log: trial.log, number: numbers[index]!, load, trace: log.trace }
  })
  const { workload } = test.sheet
  const scores = parseScoreTable(withHeading(table), { file: 'the scores' })
  const chosen = trial.load === null ? numbers : [trial.load]
  const { placed } = draftSheet({ loads: drafted, chosen, scores, workload: workload.name })
  const runs = [...placed.byLoad.values()].flat()
  const trials: DraftTrial[] = [{ log: trial.log, load: trial.load, comment: '', runs }]
  return {
    text: formatDraft(NO_NAMES, trials, { text: cleared, file: sheet.file }),
    placed: runs.length,
    unplaced: sayUnplaced(placed.unplaced, table),
  }
}

/** Scores that fit no run, with those of one reason in one line. */
function sayUnplaced(
  unplaced: readonly { readonly line: number; readonly score: string; readonly reason: string }[],
  table: string,
): readonly string[] {
  const added = withHeading(table) === table ? 0 : 1
  const reasons = new Map<string, string[]>()
  for (const { line, score, reason } of unplaced)
    reasons.set(reason, [...(reasons.get(reason) ?? []), `${score} (line ${line - added})`])
  return [...reasons].map(([reason, scores]) => {
    const shown = scores.length > MOST_NAMED ? [...scores.slice(0, MOST_NAMED), '…'] : scores
    return `${scores.length === 1 ? 'One score was' : `${scores.length} scores were`} left out, as the log has no place for ${scores.length === 1 ? 'it' : 'them'}: ${reason}. ${shown.join(', ')}`
  })
}

const MOST_NAMED = 6

function withoutRuns(text: string): string {
  const document = sheetDocument(text)
  const trials = document?.get('trials')
  if (document === null || !isSeq(trials) || !isMap(trials.items[0])) return text
  trials.items[0].delete('runs')
  return document.toString({ lineWidth: 0 })
}

/** One column of numbers needs no heading. */
function withHeading(table: string): string {
  const [first = ''] = table.trim().split('\n')
  return /[\p{L}]{2}/u.test(first.replace(/\b(s|min|h|ms)\b/g, '')) ? table : `score\n${table.trim()}`
}
