import type { DraftLoad } from '../../../sheet/draft/placeScores.js'
import { sayDuration, sayMoment } from '../../figures/sayDuration.js'
import { sayCount } from '../../figures/sayEstimate.js'
import { wrapText } from '../../figures/wrapText.js'
import { saySustained } from '../../text/saySustained.js'
import { plotTable } from '../plotTable.js'
import type { Style } from '../style.js'
import { sayLines } from './sayLines.js'

/** What `draft` found and wrote. */
export interface DraftView {
  readonly loads: readonly DraftLoad[]
  /** Loads that the sheet holds. */
  readonly chosen: readonly DraftLoad[]
  readonly placed: number
  /** Whether a score was taken as the mean of all runs found. */
  readonly isSupposed: boolean
  readonly unplaced: readonly { readonly line: number; readonly score: string; readonly reason: string }[]
  readonly out: string
}

/** The loads with their times and watts, what became of the scores, and what to do next. */
export function sayDraft(view: DraftView, style: Style): string {
  const reasons = [...new Set(view.unplaced.map(({ reason }) => reason))]
  const missing = reasons.map((reason) => {
    const rows = view.unplaced.filter((row) => row.reason === reason)
    const score = rows.length === 1 ? `, score ${rows[0]!.score}` : ''
    return wrapText(`· ${sayLines(rows)}${score}: ${reason}`, style.width, 4, 2)
  })
  const left =
    missing.length === 0
      ? []
      : [[`  Not placed: ${sayCount(view.unplaced.length, 'score')}`, ...missing].join('\n')]
  return [
    sayDraftLoads(view.loads, view.chosen, style),
    wrapText(
      `${sayCount(view.placed, 'score')} placed in ${sayCount(view.chosen.length, 'trial')} of ${view.out}.`,
      style.width,
      2,
    ),
    ...(view.isSupposed ? [wrapText(SUPPOSED_MEAN, style.width, 2)] : []),
    ...left,
    wrapText(`Check the names in it, then: holdwatt check ${view.out}`, style.width, 2),
  ].join('\n\n')
}

/** What is said of scores that stand for all runs of a load, where the table does not say so. */
export const SUPPOSED_MEAN =
  'The table has one row for a load of several runs, and was taken as their mean. A column "runs" in it says of how many runs a score is.'

/** Every load of the logs on a line: number, time, length, power, runs; a star at those that the sheet holds. */
export function sayDraftLoads(
  loads: readonly DraftLoad[],
  chosen: readonly DraftLoad[],
  style: Style,
): string {
  const rows = loads.map((each) => [
    chosen.some(({ log, number }) => log === each.log && number === each.number) ? '*' : '',
    each.log,
    String(each.number),
    sayMoment(each.load.startS),
    sayDuration(each.load.endS - each.load.startS),
    saySustained(each.load),
    String(each.load.runs.length),
  ])
  return plotTable(COLUMNS, rows, style)
}

const COLUMNS = [
  { heading: '' },
  { heading: 'log' },
  { heading: 'load', align: 'right' },
  { heading: 'from', align: 'right' },
  { heading: 'for', align: 'right' },
  { heading: 'sustains' },
  { heading: 'runs', align: 'right' },
] as const
