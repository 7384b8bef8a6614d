import { dirname, join, relative } from 'node:path'
import { InputError } from '../../errors.js'
import { readTextFile } from '../../files/readTextFile.js'
import { plainText } from '../../log/table/plainText.js'
import type { LogOptions } from '../../log/trace.js'
import {
  draftReview,
  type MachineDraft,
  type ReviewRequest,
  settleMetrics,
} from '../../machine/review/draftReview.js'
import { formatReviewDraft, type ReviewTrial } from '../../sheet/draft/formatReviewDraft.js'
import type { LoadChoice } from '../../sheet/draft/loadChoice.js'
import type { AskedMetric } from '../../sheet/draft/metricColumns.js'
import { parseReviewTable, type ReviewTable } from '../../sheet/draft/parseReviewTable.js'
import type { DraftLoad } from '../../sheet/draft/placeScores.js'
import { writeDraft } from '../../sheet/draft/writeDraft.js'
import { type DraftedSheetView, sayReviewDraft } from '../../show/terminal/draft/sayReviewDraft.js'
import type { Context } from '../context.js'
import { chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import type { OutputOptions } from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { askDirections, askLoads, askNames } from './askLoads.js'
import { loadFields, sayLoad } from './loadFields.js'
import { isFolderName, isThere } from './readDraftKind.js'
import { readDraftLogs } from './readDraftLogs.js'

export interface ReviewDraftOptions extends LogOptionValues, OutputOptions {
  readonly out: string
  readonly scores?: string
  readonly metrics?: readonly AskedMetric[]
  readonly place?: readonly LoadChoice[]
  readonly machine?: string
  readonly chip?: string
  readonly chassis?: string
  readonly workload?: string
  readonly loads?: readonly number[]
  readonly scoreColumn?: string
}

/**
 * Drafts the sheets of a review, one a machine: reads logs and table, asks on a terminal for what they don't tell, writes, and tells what
 * has no place.
 */
export async function draftReviewSheets(
  paths: readonly string[],
  options: ReviewDraftOptions,
  context: Context,
): Promise<void> {
  refuseUnfit(options)
  const { ask } = options.json === true ? { ask: undefined } : context
  const { loads, unread } = await readDraftLogs(paths, chosenColumns(options), options.scores)
  const table = await readTable(options, context)
  const request: ReviewRequest = {
    ...{ loads, table, machine: options.machine, workload: options.workload },
    choices: options.place ?? [],
  }
  const first = named(draftReview(request), options)
  const asked =
    ask === undefined
      ? first
      : named(
          draftReview({ ...request, choices: await askLoads(request, first, { ask, context, options }) }),
          options,
        )
  const drafts: MachineDraft[] = []
  for (const draft of asked)
    drafts.push(ask === undefined ? draft : await askNames(draft, outOf(draft, options), ask))
  const sheets = drafts.map((draft): DraftedSheet => {
    const out = outOf(draft, options)
    return { ...draft, out, wasThere: isThere(out), isWritten: draft.tests.length > 0 }
  })
  if (sheets.length > 1 && !isFolderOut(options.out)) throw machinesMany(sheets)
  refuseOneFile(sheets)
  // A sheet without a trial is none.
  for (const sheet of sheets.filter(({ isWritten }) => isWritten)) {
    const { machine, chip, chassis, workloads } = sheet
    const trials = trialsOf(sheet, sheet.out, chosenColumns(options))
    await writeDraft(sheet.out, (before) =>
      formatReviewDraft({ head: { machine, chip, chassis }, workloads, trials }, before),
    )
  }
  const document = () => documentOf(sheets, { unread, out: options.out })
  printAnswer(
    {
      command: 'draft',
      warnings: table?.warnings ?? [],
      document,
      view: { sheets: sheets.map(viewOf), unread },
      say: sayReviewDraft,
    },
    options,
    context,
  )
}

interface DraftedSheet extends MachineDraft {
  readonly out: string
  /** Whether a sheet was there already, and was added to. */
  readonly wasThere: boolean
  readonly isWritten: boolean
}

function refuseUnfit({ loads, scoreColumn, scores, place }: ReviewDraftOptions): void {
  if (scores === undefined && place === undefined) {
    throw new InputError(
      'scores-missing',
      'expected a table of scores, or which load is which, got neither',
      {
        remedy:
          'give the table with --scores, or name loads with --place "render=FILE.csv#1" and write their scores into the sheet; holdwatt stages lists the loads of a log',
      },
    )
  }
  const unfit = loads !== undefined ? '--loads' : scoreColumn !== undefined ? '--score-column' : undefined
  if (unfit === undefined) return
  throw new InputError(
    'option-unfit',
    `${unfit} is for a sheet of one workload, and this draft has several`,
    {
      remedy: 'say which load a workload is with --place, and which columns hold scores with --metrics',
    },
  )
}

async function readTable(options: ReviewDraftOptions, context: Context): Promise<ReviewTable | undefined> {
  const { scores: file, metrics, json } = options
  if (file === undefined) return undefined
  const table = parseReviewTable(await readTextFile(file), { file, metrics })
  const answers =
    context.ask === undefined || json === true ? undefined : await askDirections(table, context.ask)
  return settleMetrics(table, answers)
}

/** The names that options give; those of a chip and a chassis are of one machine. */
function named(
  drafts: readonly MachineDraft[],
  { chip, chassis }: ReviewDraftOptions,
): readonly MachineDraft[] {
  if (drafts.length > 1 && (chip !== undefined || chassis !== undefined)) {
    throw new InputError(
      'option-unfit',
      `--chip and --chassis name those of one machine, and the table has ${drafts.length}`,
      {
        remedy: 'choose a machine with --machine, or give the table columns "chip" and "chassis"',
      },
    )
  }
  return drafts.map((draft) => ({ ...draft, chip: chip ?? draft.chip, chassis: chassis ?? draft.chassis }))
}

function isFolderOut(out: string): boolean {
  return isFolderName(out) || !/\.ya?ml$/i.test(out)
}

/** In a folder a sheet is named for its machine. */
function outOf({ machine }: MachineDraft, { out }: ReviewDraftOptions): string {
  if (!isFolderOut(out)) return out
  const words = (machine ?? 'machine').toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? ['machine']
  return join(out, `${words.join('-')}.yaml`)
}

/** Names that differ in signs alone would share a file. */
function refuseOneFile(sheets: readonly DraftedSheet[]): void {
  const twice = sheets.find(({ out }, index) => sheets.findIndex((other) => other.out === out) !== index)
  if (twice === undefined) return
  throw new InputError(
    'machines-alike',
    `expected machines whose names differ in letters or numbers, got two for ${plainText(twice.out)}`,
    { remedy: 'write the name of one machine alike in every row' },
  )
}

function machinesMany(sheets: readonly { readonly machine: string | null }[]): InputError {
  const names = sheets.map(({ machine }) => `"${plainText(machine ?? '')}"`).join(', ')
  return new InputError(
    'machines-many',
    `expected one machine for one sheet, got ${sheets.length}: ${names}`,
    {
      remedy: 'choose one with --machine, or give --out a folder, for a sheet a machine: --out sheets/',
    },
  )
}

function trialsOf({ tests, loads }: MachineDraft, out: string, options: LogOptions): readonly ReviewTrial[] {
  return tests.map(({ workload, mode, load, runs }) => ({
    ...{ workload, mode, options },
    log: load === null ? null : relative(dirname(out), load.log).replaceAll('\\', '/'),
    load:
      load !== null && loads.some(({ log, number }) => log === load.log && number > 1) ? load.number : null,
    comment: load === null ? null : sayLoad(load),
    runs: runs.map(({ row, ...place }) => ({ ...place, values: row.values })),
  }))
}

function viewOf({
  wasThere,
  isWritten,
  machine,
  out,
  loads,
  tests,
  unplaced,
}: DraftedSheet): DraftedSheetView {
  const of = (load: DraftLoad | null) =>
    tests
      .filter((test) => test.load === load)
      .map(({ workload, mode, runs }) => ({
        name: `${workload}${mode === null ? '' : ` @ ${mode}`}`,
        runs: runs.reduce((sum, { of = 1 }) => sum + of, 0),
        isSupposed: runs.some(({ isSupposed }) => isSupposed === true),
      }))
  return {
    ...{ machine, out, wasThere, isWritten, unplaced, alone: of(null) },
    loads: loads.map((load) => ({ ...load, tests: of(load) })),
  }
}

function documentOf(
  sheets: readonly DraftedSheet[],
  { unread, out }: { readonly unread: readonly object[]; readonly out: string },
): object {
  const placed = ({ tests }: MachineDraft) => tests.reduce((sum, { runs }) => sum + runs.length, 0)
  return {
    loads: sheets.flatMap(({ machine, loads, tests }) =>
      loads.map((load) => ({
        ...loadFields(load),
        machine,
        workloads: tests
          .filter((test) => test.load === load)
          .map(({ workload, mode }) => ({ workload, mode })),
      })),
    ),
    placed: sheets.reduce((sum, sheet) => sum + placed(sheet), 0),
    unplaced: sheets.flatMap((sheet) => sheet.unplaced.map((row) => ({ ...row, machine: sheet.machine }))),
    sheets: sheets.map((sheet) => ({
      ...{ machine: sheet.machine, out: sheet.isWritten ? sheet.out : null },
      ...{ trials: sheet.tests.length, placed: placed(sheet) },
    })),
    unread,
    out,
  }
}
