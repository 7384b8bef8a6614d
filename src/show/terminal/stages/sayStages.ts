import type { LogColumns, SkippedLine, Trace } from '../../../log/trace.js'
import type { Load, Stage } from '../../../segment/load.js'
import { shareBudget } from '../../../segment/shareBudget.js'
import { sayDuration, sayMoment } from '../../figures/sayDuration.js'
import { sayCount, sayEstimate } from '../../figures/sayEstimate.js'
import { wrapText } from '../../figures/wrapText.js'
import { concludeStages, sayShares } from '../../text/concludeStages.js'
import { heldByNames } from '../../text/heldByWords.js'
import { saySustained } from '../../text/saySustained.js'
import { plotTable } from '../plotTable.js'
import { inkText, type Style } from '../style.js'
import { plotLoad, plotSession, plotTrace } from './plotTrace.js'

/** What `stages` shows of one log. */
export interface StagesView {
  readonly path: string
  readonly trace: Trace
  readonly columns: LogColumns
  readonly skipped: readonly SkippedLine[]
  readonly loads: readonly Load[]
  /** Number of each load in its log, counted from 1, and how many the log holds. */
  readonly numbers: readonly number[]
  readonly found: number
}

/** The whole answer of `stages`: what was read, the trace with its stages, the table, and a conclusion to quote. */
export function sayStages(view: StagesView, style: Style): string {
  const head = sayLogRead(view, style)
  if (view.found > 1) return [head, ...saySession(view, style)].join('\n\n')
  const [load] = view.loads
  const loads =
    load === undefined
      ? wrapText('No load found: the power never rises clearly above idle.', style.width)
      : `${wrapText(sayTimes(load), style.width, 2)}\n${sayLoad(load, view.trace, style)}`
  return [head, plotTrace(view.trace, view.loads, style), loads].join('\n\n')
}

/** Loads that are told one by one; of a longer session only the one that is asked for. */
const MOST_TOLD = 6

/** Several loads: all of them on one axis and a line a load, then each with its own plot; or the one that was chosen. */
function saySession(view: StagesView, style: Style): readonly string[] {
  const { trace, loads, numbers, found } = view
  const overview =
    loads.length > 1 ? [plotSession(trace, loads, numbers, style), sayLoadsTable(view, style)] : []
  if (loads.length > MOST_TOLD) {
    const words = `${loads.length} loads are too many to show each: --load N shows one with its stages, and --from and --to a part of the log.`
    return [...overview, wrapText(words, style.width, 2)]
  }
  const each = loads.flatMap((load, index) => [
    wrapText(
      `${inkText(`Load ${numbers[index]} of ${found}`, 'strong', style)}: ${sayTimes(load)}`,
      style.width,
      2,
    ),
    plotLoad(trace, load, style),
    sayLoad(load, trace, style),
  ])
  return [...overview, ...each]
}

const LOAD_COLUMNS = [
  { heading: 'load', align: 'right' },
  { heading: 'from', align: 'right' },
  { heading: 'for', align: 'right' },
  { heading: 'runs', align: 'right' },
  { heading: 'sustains' },
  { heading: 'held by' },
] as const

/** A line a load; times are the log's. */
function sayLoadsTable({ loads, numbers }: StagesView, style: Style): string {
  const rows = loads.map((load, index) => [
    String(numbers[index]),
    sayMoment(load.startS),
    sayDuration(load.endS - load.startS),
    String(Math.max(1, load.runs.length)),
    saySustained(load),
    heldByNames[load.stages.at(-1)?.heldBy.label ?? 'undetermined'],
  ])
  return `${plotTable(LOAD_COLUMNS, rows, style)}\n\n${wrapText('Times here count from the start of the log, those of a load from its own start.', style.width, 2)}`
}

function sayLogRead(view: StagesView, style: Style): string {
  const { trace, columns } = view
  const facts = [
    sayCount(trace.timesS.length, 'sample'),
    sayDuration(trace.timesS.at(-1) ?? 0),
    `one every ${sayDuration(trace.intervalS)}`,
    `power from "${columns.power}"`,
    columns.temperature === null ? 'no temperature column' : `temperature from "${columns.temperature}"`,
  ]
  if (view.skipped.length > 0)
    facts.push(`${sayCount(view.skipped.length, 'line')} skipped (--json lists them)`)
  const spikes = view.loads.reduce((sum, load) => sum + load.spikesAtS.length, 0)
  if (spikes > 0) facts.push(`${sayCount(spikes, 'spike')} left out`)
  return `${inkText(view.path, 'strong', style)}\n${wrapText(`${facts.join(', ')}.`, style.width, 2)}\n\n  Power, W`
}

/** When a load was; what follows counts from its start. */
function sayTimes(load: Load): string {
  const [start, end] = [sayMoment(load.startS), sayMoment(load.endS)]
  const counted = load.startS === 0 ? '' : `; times below count from ${start}`
  return `${start} to ${end} of the log${sayLoop(load)}${counted}`
}

/** Stages and conclusion. */
function sayLoad(load: Load, trace: Trace, style: Style): string {
  const rows = load.stages.map((stage, index) => stageRow(stage, index, load))
  const evidence = load.stages.at(-1)?.heldBy.evidence ?? []
  return [
    plotTable(
      moves(load) ? [...STAGE_COLUMNS, HEADS_FOR, HELD_BY] : [...STAGE_COLUMNS, HELD_BY],
      rows,
      style,
    ),
    wrapText(concludeStages(load), style.width, 2),
    ...sayParts(load, trace, style),
    ...evidence.map((line) => wrapText(`· ${line}`, style.width, 4, 2)),
  ].join('\n')
}

/** Who took what of the last stage's power, and of the first one's where the shares have moved. */
function sayParts(load: Load, trace: Trace, style: Style): readonly string[] {
  const told = [load.stages[0], load.stages.at(-1)].map((stage) =>
    stage === undefined ? undefined : shareBudget(trace, load, stage),
  )
  const [first, last] = told
  if (last === undefined) return []
  const before = load.stages.length > 1 && first !== undefined ? [`${sayShares(first, 'At first')} `] : ['']
  const since = load.stages.length > 1 ? 'In the last stage' : ''
  return [wrapText(`${before[0]}${sayShares(last, since)}`, style.width, 2)]
}

function sayLoop(load: Load): string {
  if (load.runs.length < 2) return ''
  const gap = (load.runs[1]?.startS ?? 0) - (load.runs[0]?.endS ?? 0)
  return `, ${sayCount(load.runs.length, 'run')}${gap > 0.5 ? ` with pauses of about ${sayDuration(gap)}` : ''}`
}

const STAGE_COLUMNS = [
  { heading: '#', align: 'right' },
  { heading: 'stage' },
  { heading: 'from', align: 'right' },
  { heading: 'for', align: 'right' },
  { heading: 'mean power' },
  { heading: 'shape' },
] as const

/** Where a decay or a rise would come to, which is no mean; only beside stages that have such a course. */
const HEADS_FOR = { heading: 'heads for' } as const
const HELD_BY = { heading: 'held by' } as const

function moves(load: Load): boolean {
  return load.stages.some((stage) => stage.decay !== null)
}

function stageRow(stage: Stage, index: number, load: Load): string[] {
  return [
    String(index + 1),
    stage.label,
    sayMoment(stage.startS - load.startS),
    sayDuration(stage.endS - stage.startS),
    sayEstimate(stage.levelW, 'W'),
    stage.cycle === undefined ? stage.shape : 'swing',
    ...(moves(load) ? [stage.decay ? sayEstimate(stage.decay.towardW, 'W') : ''] : []),
    heldByNames[stage.heldBy.label],
  ]
}
