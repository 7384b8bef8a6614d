import type { Trace } from '../../log/trace.js'
import type { PresentStage } from '../../record/session/judgeStage.js'
import { NO_BREAK } from '../figures/digits.js'
import { roundTimeTicks } from '../figures/roundTimeTicks.js'
import { sayDuration, sayMoment } from '../figures/sayDuration.js'
import { sayEstimate, sayNumber, sayPower } from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { heldByClauses } from '../text/heldByWords.js'
import { chartColumns, plotChart } from './plotChart.js'
import { inkText, type Style } from './style.js'

/** A recording at this moment. */
export interface LiveView {
  readonly path: string
  readonly elapsedS: number
  /** What goes on: `idle before the first run`, `run 7 of 20, for 42 s`. */
  readonly doing: string
  readonly trace: Trace | undefined
  /** Time of the recording at which the trace begins, s. */
  readonly traceStartS: number
  readonly powerW: number | undefined
  readonly temperatureC: number | undefined
  readonly clockHz: number | undefined
  readonly stage: PresentStage | undefined
  /** What the command has printed of a line that it has not ended. */
  readonly unfinished: string
}

/** The live screen as lines: the power so far with its present stage marked below, what goes on now, and how to end. */
export function plotLive(view: LiveView, style: Style): readonly string[] {
  const lines = [
    ...(view.unfinished === '' ? [] : [view.unfinished]),
    `${inkText(view.path, 'strong', style)}  power, W`,
    ...(view.trace === undefined ? [] : plotPower(view.trace, view, style).split('\n')),
    ...wrapText(sayNow(view), style.width, 2).split('\n'),
    ...wrapText(sayStage(view), style.width, 2).split('\n'),
    inkText('  Ctrl-C ends it and keeps everything.', 'faint', style),
  ]
  return lines.map((line) => line.replaceAll(NO_BREAK, ' ').trimEnd())
}

/** Few enough for a terminal of 24 lines with some output of the command above. */
const ROWS = 8

function plotPower(trace: Trace, { stage, traceStartS }: LiveView, style: Style): string {
  const columns = chartColumns(style)
  const toS = trace.timesS.at(-1)!
  const columnOf = (timeS: number) => Math.floor((timeS / toS) * (columns - 1e-9))
  const values = binned(trace, columns, columnOf)
  const top = values.reduce<number>((most, value) => Math.max(most, value ?? 0), 1)
  const ticks = roundTimeTicks(traceStartS, traceStartS + toS, Math.floor(columns / 12))
  return plotChart(
    {
      lines: [{ values, ink: 'measured' }],
      yRange: [0, top],
      rows: ROWS,
      underRows: stage === undefined ? [] : [markStage(stage, columns, columnOf)],
      xTicks: ticks.map((tick) => ({ column: columnOf(tick - traceStartS), label: sayMoment(tick) })),
    },
    style,
  )
}

/** Time-mean power of each column; a column without a sample repeats the one before. */
function binned(trace: Trace, columns: number, columnOf: (timeS: number) => number): (number | undefined)[] {
  const sums = new Float64Array(columns)
  const counts = new Uint32Array(columns)
  for (let i = 0; i < trace.timesS.length; i++) {
    const column = columnOf(trace.timesS[i]!)
    sums[column] = sums[column]! + trace.powerW[i]!
    counts[column] = counts[column]! + 1
  }
  let last: number | undefined
  return Array.from(sums, (sum, column) => {
    last = counts[column] === 0 ? last : sum / counts[column]!
    return last
  })
}

function markStage(
  { number, label, sinceS }: PresentStage,
  columns: number,
  columnOf: (s: number) => number,
) {
  const name = `▏${number} ${label}`
  return ' '.repeat(Math.max(0, Math.min(columnOf(sinceS), columns - name.length))) + name
}

function sayNow(view: LiveView): string {
  const { elapsedS, doing, powerW, temperatureC, clockHz } = view
  const parts = [
    sayMoment(elapsedS),
    doing,
    ...(powerW === undefined ? [] : [sayPower(powerW)]),
    ...(temperatureC === undefined ? [] : [sayNumber(temperatureC, 2, '°C')]),
    ...(clockHz === undefined ? [] : [sayNumber(clockHz / 1e9, 2, 'GHz')]),
  ]
  return parts.join('   ')
}

function sayStage({ stage, traceStartS, elapsedS }: LiveView): string {
  if (stage === undefined) return 'No load yet.'
  const { number, label, sinceS, levelW, heldBy, settled } = stage
  // What holds a power is told once it has settled: before, a burst looks like a task that asks for no more.
  const held = settled ? `settled; ${heldByClauses[heldBy]}` : sayHeading(stage, elapsedS - traceStartS)
  return `Stage ${number}, ${label}: ${sayPower(levelW)} since ${sayMoment(traceStartS + sinceS)}; ${held}.`
}

/** Where a power that has not settled goes, and when it will be there. */
function sayHeading({ headsToW, settlesAtS }: PresentStage, nowS: number): string {
  const leftS = settlesAtS === null ? 0 : settlesAtS - nowS
  const when = leftS > 0 ? `, settled in about ${sayDuration(leftS)}` : ''
  return `not settled yet, heads to ${sayEstimate(headsToW, 'W')}${when}`
}

/** What goes on in a phase of a recording, for people. */
export function sayPhase(phase: string, facts: { readonly runs: number; readonly sinceS: number }): string {
  const lasted = sayDuration(facts.sinceS)
  if (phase === 'before') return 'idle, before the first run'
  if (phase === 'recording') return 'recording'
  if (phase === 'after') return 'idle, after the last run'
  if (phase === 'pause') return `pause, for ${lasted}`
  return facts.runs > 1 ? `${phase} of ${facts.runs}, for ${lasted}` : `running, for ${lasted}`
}
