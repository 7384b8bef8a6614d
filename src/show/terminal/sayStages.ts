import type { LogColumns, SkippedLine, Trace } from '../../log/trace.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { HoldLabel, Load, Stage } from '../../segment/load.js'
import { sayDuration, sayMoment } from '../text/sayDuration.js'
import { sayEstimate, sayNumber, sayValue } from '../text/sayEstimate.js'
import { wrapText } from '../text/wrapText.js'
import { plotTable } from './plotTable.js'
import { plotTrace } from './plotTrace.js'
import { inkText, type Style } from './style.js'

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
  const parts = [sayLogRead(view, style), plotTrace(view.trace, view.loads, style)]
  view.loads.forEach((load, index) => {
    parts.push(sayLoad(load, view.found > 1 ? `Load ${view.numbers[index]} of ${view.found}: ` : '', style))
  })
  if (view.loads.length === 0)
    parts.push(wrapText('No load was found: the power never rises clearly above idle.', style.width))
  return parts.join('\n\n')
}

/** The stages of a load in one sentence, fit to be quoted. */
export function concludeStages(load: Load): string {
  const { stages, sustained } = load
  if (stages.length === 0) return 'No stage could be told apart.'
  const reasons = holdPhrase(stages.at(-1)!.heldBy.label)
  if (!sustained.reached) return `${sayPath(stages)}. ${sayUnsettled(load)}`
  if (stages.length === 1) {
    return `${sayValue(sustained.levelW, 'W')} from start to end (${interval(sustained.levelW)}), ${reasons}.`
  }
  const early = sayPath(stages.slice(0, -1))
  const last = stages.at(-1)!
  const since = `from ${sayMoment(last.startS - load.startS)} on`
  const settled = sayEstimate(sustained.levelW, 'W')
  if (load.runs.length < 2 || !differs(last.levelW, sustained.levelW))
    return `${early}, then ${settled} held ${since}, ${reasons}.`
  const inRuns = `${sayValue(last.levelW, 'W')} in its runs`
  return `${early}, then ${inRuns} ${since}, ${reasons}. Without the pauses between them it would settle at ${settled}.`
}

/** Of a loop that opens every run anew, a reader who looks at the table would miss the figure in the sentence. */
function differs(mean: Estimate, settled: Estimate): boolean {
  return mean.value < settled.low || mean.value > settled.high
}

/** How a held-by label reads inside a sentence. */
export function holdPhrase(label: HoldLabel): string {
  switch (label) {
    case 'power-limit':
      return 'by a set limit, not by heat'
    case 'heat':
      return 'by heat'
    case 'demand':
      return 'because the task asked for no more'
    case 'undetermined':
      return 'by what, the log can’t tell'
  }
}

function sayLogRead(view: StagesView, style: Style): string {
  const { trace, columns } = view
  const facts = [
    `${trace.timesS.length} samples`,
    sayDuration(trace.timesS.at(-1) ?? 0),
    `one every ${sayNumber(trace.intervalS, 2, 's')}`,
    `power from "${columns.power}"`,
    columns.temperature === null ? 'no temperature column' : `temperature from "${columns.temperature}"`,
  ]
  if (view.skipped.length > 0)
    facts.push(
      `${view.skipped.length} ${view.skipped.length === 1 ? 'line' : 'lines'} passed over (--json lists them)`,
    )
  const spikes = view.loads.reduce((sum, load) => sum + load.spikesAtS.length, 0)
  if (spikes > 0) facts.push(`${spikes} ${spikes === 1 ? 'spike' : 'spikes'} set aside`)
  return `${inkText(view.path, 'strong', style)}\n${wrapText(`${facts.join(', ')}.`, style.width, 2)}\n\n  Package power, W`
}

function sayLoad(load: Load, title: string, style: Style): string {
  const head = `${title}${sayMoment(load.startS)} to ${sayMoment(load.endS)}${sayLoop(load)}`
  const rows = load.stages.map((stage, index) => stageRow(stage, index, load))
  const evidence = load.stages.at(-1)?.heldBy.evidence ?? []
  return [
    wrapText(head, style.width, 2),
    plotTable(STAGE_COLUMNS, rows, style),
    wrapText(concludeStages(load), style.width, 2),
    ...evidence.map((line) => wrapText(`· ${line}`, style.width, 4, 2)),
  ].join('\n')
}

function sayLoop(load: Load): string {
  if (load.runs.length < 2) return ''
  const gap = (load.runs[1]?.startS ?? 0) - (load.runs[0]?.endS ?? 0)
  return `, ${load.runs.length} runs${gap > 0.5 ? ` with pauses of about ${sayDuration(gap)}` : ''}`
}

const STAGE_COLUMNS = [
  { heading: '#', align: 'right' },
  { heading: 'stage' },
  { heading: 'from', align: 'right' },
  { heading: 'for', align: 'right' },
  { heading: 'mean power' },
  { heading: 'shape' },
  { heading: 'held by' },
] as const

function stageRow(stage: Stage, index: number, load: Load): string[] {
  return [
    String(index + 1),
    stage.label,
    sayMoment(stage.startS - load.startS),
    sayDuration(stage.endS - stage.startS),
    sayEstimate(stage.levelW, 'W'),
    stage.decay ? `decays, τ ${sayValue(stage.decay.tauS, 's')}` : 'level',
    holdName(stage.heldBy.label),
  ]
}

/** How a held-by label reads in a table. */
export function holdName(label: HoldLabel): string {
  return label === 'power-limit' ? 'power limit' : label
}

function sayPath(stages: readonly Stage[]): string {
  const text = stages
    .map((stage, index) => {
      const name = index === 0 && stage.label === 'burst' ? 'burst ' : ''
      const lasted = sayDuration(stage.endS - stage.startS)
      if (!stage.decay) return `${name}${sayValue(stage.levelW, 'W')} for ${lasted}`
      return `${name}from ${sayNumber(stage.decay.fromW, 3, 'W')} falling toward ${sayValue(stage.decay.towardW, 'W')} over ${lasted}`
    })
    .join(', then ')
  return text.charAt(0).toUpperCase() + text.slice(1)
}

function sayUnsettled(load: Load): string {
  const heading = sayEstimate(load.sustained.levelW, 'W')
  return `The log ends before the power could be seen to settle: it would settle at about ${heading}. Test longer before quoting a sustained figure (holdwatt plan says how long).`
}

function interval(estimate: {
  readonly low: number
  readonly high: number
  readonly value: number
  readonly level: number
}): string {
  return sayEstimate(estimate).replace(/^.*\((.*)\)$/, '$1')
}
