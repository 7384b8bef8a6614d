import type { UnplacedRow } from '../../../sheet/draft/placeReview.js'
import type { DraftLoad } from '../../../sheet/draft/placeScores.js'
import { sayDuration, sayMoment } from '../../figures/sayDuration.js'
import { sayCount } from '../../figures/sayEstimate.js'
import { wrapText } from '../../figures/wrapText.js'
import { saySustained } from '../../text/saySustained.js'
import { plotTable } from '../plotTable.js'
import { inkText, type Style } from '../style.js'
import { SUPPOSED_MEAN } from './sayDraft.js'
import { sayLines } from './sayLines.js'

/** What `draft` found and wrote for a review. */
export interface ReviewDraftView {
  readonly sheets: readonly DraftedSheetView[]
  /** Files of the folder that are no logs, each with the reason. */
  readonly unread: readonly { readonly file: string; readonly reason: string }[]
}

export interface DraftedSheetView {
  readonly machine: string | null
  readonly out: string
  /** Whether a sheet was there already, and was added to. */
  readonly wasThere: boolean
  /** False where nothing has a place, and so no sheet was written. */
  readonly isWritten: boolean
  readonly loads: readonly (DraftLoad & { readonly tests: readonly TestView[] })[]
  /** Workloads whose power was not logged. */
  readonly alone: readonly TestView[]
  readonly unplaced: readonly UnplacedRow[]
}

/** A workload in one mode, and how many runs of it have a place. */
export interface TestView {
  readonly name: string
  readonly runs: number
  /** Whether its score was taken as the mean of all runs found. */
  readonly isSupposed: boolean
}

/** Each machine's loads with the workload that each was, what has no place and why, and what to do next. */
export function sayReviewDraft({ sheets, unread }: ReviewDraftView, style: Style): string {
  const written = sheets.filter(({ isWritten }) => isWritten)
  const outs = written.map(({ out }) => (/\s/.test(out) ? `"${out}"` : out)).join(' ')
  const files = unread.map(({ file, reason }) => bullet(`${file}: ${reason}`, style))
  const [left] = sheets.flatMap(({ unplaced }) => unplaced.filter(({ workload }) => workload !== ''))
  const what = written.length === 1 ? 'the sheet' : 'the sheets'
  return [
    ...sheets.map((sheet) => saySheet(sheet, style)),
    ...(files.length === 0
      ? []
      : [[`  Not read as logs: ${sayCount(files.length, 'file')}`, ...files].join('\n')]),
    ...(left === undefined ? [] : [sayRemedy(left)]),
    // Commands stand on lines of their own, unbroken, to be copied.
    ...(written.length === 0
      ? []
      : [
          `  Set names and room in ${what}, then:\n\n    holdwatt check ${outs}\n    holdwatt review ${outs}`,
        ]),
  ].join('\n\n')
}

/** Options stand on lines of their own too. */
function sayRemedy({ workload, mode }: UnplacedRow): string {
  const name = `${workload}${mode === null ? '' : ` @ ${mode}`}`
  return `  Say which load a workload is, and draft again with\n\n    --place "${name}=LOG#NUMBER"\n    --place "${name}=none"  where no power was logged`
}

function saySheet(sheet: DraftedSheetView, style: Style): string {
  const { machine, out, loads, alone, unplaced } = sheet
  const logs = [...new Set(loads.map(({ log }) => log))]
  const tables = logs.map((log) => {
    const own = loads.filter((load) => load.log === log)
    return `  ${log}\n${sayLoads(own, style)}`
  })
  const tests = [...loads.flatMap((load) => load.tests), ...alone]
  const free = loads.filter((load) => load.tests.length === 0).length
  const rest = free === 0 ? '' : `; ${sayCount(free, 'load')} without a workload`
  const placed = tests.reduce((sum, { runs }) => sum + runs, 0)
  return [
    `${inkText(machine ?? 'One machine', 'strong', style)}: ${sheet.isWritten ? out : 'no sheet, as nothing has a place'}`,
    ...tables,
    ...alone.map(({ name, runs }) =>
      wrapText(`${name}: ${sayCount(runs, 'run')} without power`, style.width, 2),
    ),
    wrapText(
      `${sayCount(placed, 'run')} placed in ${sayCount(tests.length, 'trial')}${rest}.${sheet.wasThere && sheet.isWritten ? ' What stood in the sheet is kept.' : ''}`,
      style.width,
      2,
    ),
    ...(tests.some(({ isSupposed }) => isSupposed) ? [wrapText(SUPPOSED_MEAN, style.width, 2)] : []),
    ...sayUnplaced(unplaced, style),
  ].join('\n\n')
}

function sayLoads(loads: DraftedSheetView['loads'], style: Style): string {
  const rows = loads.flatMap(({ number, load, tests }) => {
    const cells = [
      String(number),
      sayMoment(load.startS),
      sayDuration(load.endS - load.startS),
      saySustained(load),
    ]
    if (tests.length === 0) return [[...cells, '', '']]
    return tests.map(({ name, runs }) => [...cells, name, String(runs)])
  })
  return plotTable(COLUMNS, rows, style)
}

const COLUMNS = [
  { heading: 'load', align: 'right' },
  { heading: 'from', align: 'right' },
  { heading: 'for', align: 'right' },
  { heading: 'sustains' },
  { heading: 'workload' },
  { heading: 'runs', align: 'right' },
] as const

/** Rows that were left out, those of one workload for one reason together. */
function sayUnplaced(unplaced: readonly UnplacedRow[], style: Style): readonly string[] {
  if (unplaced.length === 0) return []
  const groups = new Map<string, UnplacedRow[]>()
  for (const row of unplaced) {
    const key = JSON.stringify([row.workload, row.mode, row.reason])
    groups.set(key, [...(groups.get(key) ?? []), row])
  }
  const lines = [...groups.values()].map((rows) => {
    const [{ workload, mode, reason }] = rows as [UnplacedRow]
    const listed = sayLines(rows)
    const name = workload === '' ? '' : `, ${workload}${mode === null ? '' : ` @ ${mode}`}`
    return bullet(`${listed}${name}: ${reason}`, style)
  })
  return [
    [`  Not placed: ${sayCount(new Set(unplaced.map(({ line }) => line)).size, 'row')}`, ...lines].join('\n'),
  ]
}

function bullet(text: string, style: Style): string {
  return wrapText(`· ${text}`, style.width, 4, 2)
}
