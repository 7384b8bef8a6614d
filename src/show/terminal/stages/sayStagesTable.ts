import type { Load, Stage } from '../../../segment/load.js'
import { sayMoment } from '../../figures/sayDuration.js'
import { sayNumber, sayValue } from '../../figures/sayEstimate.js'
import { shortenPath } from '../../figures/shorten.js'
import { wrapText } from '../../figures/wrapText.js'
import { heldByNames } from '../../text/heldByWords.js'
import { plotTable } from '../plotTable.js'
import { inkText, type Style } from '../style.js'

/** One log of many, reduced to a line. */
export interface StagesRow {
  readonly path: string
  readonly cells: readonly string[]
  readonly notes: readonly StagesNote[]
}

type StagesNote = keyof typeof NOTES

/** What is marked in the last column, and explained once below the table. */
const NOTES = {
  unsettled: 'the log ends before the power settles: the sustained power is an extrapolation',
  'too-short':
    'the load is too short for a sustained power: a limit or heat may still act; shown are its floor and ceiling',
  'no-load': 'no load found: the power never rises clearly above idle',
  'more-loads': 'the log holds several loads: the longest is shown',
} as const

/** The longest load of a log as a line of the table. */
export function stagesRow({
  path,
  loads,
}: {
  readonly path: string
  readonly loads: readonly Load[]
}): StagesRow {
  if (loads.length === 0) return { path, cells: ['–', '–', '–', '–', '–'], notes: ['no-load'] }
  const load = loads.reduce((best, other) => (lengthS(other) > lengthS(best) ? other : best))
  const { levelW, reached, settleAfterS, bounds } = load.sustained
  const notes: StagesNote[] = reached ? [] : [bounds === null ? 'unsettled' : 'too-short']
  if (loads.length > 1) notes.push('more-loads')
  return {
    path,
    cells: [
      stageCell(load.stages.find((stage) => stage.label === 'burst')),
      stageCell(longest(load.stages.filter((stage) => stage.label === 'short-term'))),
      bounds === null
        ? sayValue(levelW, '', 'power')
        : `${sayNumber(bounds.floorW, 2)}–${sayNumber(bounds.ceilingW, 2)}`,
      settleAfterS === null ? '–' : sayMoment(settleAfterS.value),
      heldByNames[load.stages.at(-1)?.heldBy.label ?? 'undetermined'],
    ],
    notes,
  }
}

/** Many logs as a table of one line each, with what its columns mean. */
export function sayStagesTable(rows: readonly StagesRow[], style: Style): string {
  const used = NOTE_ORDER.filter((note) => rows.some((row) => row.notes.includes(note)))
  const mark = (note: StagesNote) => String(used.indexOf(note) + 1)
  const columns = used.length > 0 ? COLUMNS : COLUMNS.slice(0, -1)
  const others = rows.map(({ cells, notes }) => [...cells, notes.map(mark).join(' ')])
  const taken = columns.slice(1).map(({ heading }, index) => {
    return GAP + Math.max(heading.length, ...others.map((cells) => cells[index]!.length))
  })
  const room = Math.max(12, style.width - INDENT - taken.reduce((sum, width) => sum + width, 0))
  const lines = rows.map(({ path, cells, notes }) => [
    shortenPath(path, room),
    ...cells,
    ...(used.length > 0 ? [inkText(notes.map(mark).join(' '), 'caution', style)] : []),
  ])
  const legend =
    'Mean power in W and length (min:s) of burst and short-term stage; sustained power in W, and how long after the start of the load it is reached. Intervals: --csv, or holdwatt stages LOG.'
  return [
    plotTable(columns, lines, style),
    [
      wrapText(legend, style.width, 2),
      ...used.map((note) => wrapText(`${mark(note)}  ${NOTES[note]}.`, style.width, 2, 3)),
    ].join('\n'),
  ].join('\n\n')
}

const NOTE_ORDER = Object.keys(NOTES) as readonly StagesNote[]

const COLUMNS = [
  { heading: 'log' },
  { heading: 'burst', align: 'right' },
  { heading: 'short-term', align: 'right' },
  { heading: 'sustained', align: 'right' },
  { heading: 'after', align: 'right' },
  { heading: 'held by' },
  { heading: 'note' },
] as const

/** As `plotTable` sets a table. */
const GAP = 2
const INDENT = 2

function stageCell(stage: Stage | undefined): string {
  return stage === undefined
    ? '–'
    : `${sayValue(stage.levelW, '', 'power')} ${sayMoment(stage.endS - stage.startS)}`
}

function longest(stages: readonly Stage[]): Stage | undefined {
  return stages.reduce<Stage | undefined>(
    (best, stage) => (best === undefined || lengthS(stage) > lengthS(best) ? stage : best),
    undefined,
  )
}

function lengthS(stretch: { readonly startS: number; readonly endS: number }): number {
  return stretch.endS - stretch.startS
}
