import type { Trace } from '../../../log/trace.js'
import type { Load, Stage } from '../../../segment/load.js'
import { roundTimeTicks } from '../../figures/roundTimeTicks.js'
import { sayMoment } from '../../figures/sayDuration.js'
import { type ChartLine, chartColumns, plotChart } from '../plotChart.js'
import type { Style } from '../style.js'

/**
 * The trace with its stages marked under it and the fitted levels and decays drawn over it.
 * Pauses inside a looped load are left out of the line; a stage too short for a column still shows in one.
 *
 * When the first stages are too short to read, a second chart shows the load's beginning.
 */
export function plotTrace(
  trace: Pick<Trace, 'timesS' | 'powerW'>,
  loads: readonly Load[],
  style: Style,
): string {
  const whole = { fromS: trace.timesS[0] ?? 0, toS: trace.timesS.at(-1) ?? 0, zeroS: 0 }
  return plotWithStart(trace, loads, whole, style)
}

/** One load of several with what is beside it; times count from its start. */
export function plotLoad(trace: Pick<Trace, 'timesS' | 'powerW'>, load: Load, style: Style): string {
  const asideS = BESIDE_SHARE * (load.endS - load.startS)
  const window = {
    fromS: Math.max(trace.timesS[0] ?? 0, load.startS - asideS),
    toS: Math.min(trace.timesS.at(-1) ?? 0, load.endS + asideS),
    zeroS: load.startS,
  }
  return plotWithStart(trace, [load], window, style)
}

/** Shown on both sides of a load, as a share of it: that it begins and ends is seen. */
const BESIDE_SHARE = 0.04

/** A whole session, its loads marked by their numbers; times are the log's. */
export function plotSession(
  trace: Pick<Trace, 'timesS' | 'powerW'>,
  loads: readonly Load[],
  numbers: readonly number[],
  style: Style,
): string {
  const window = { fromS: trace.timesS[0] ?? 0, toS: trace.timesS.at(-1) ?? 0, zeroS: 0 }
  const marks = loads.map(({ startS, endS }, index) => ({
    startS,
    endS,
    long: `load ${numbers[index]}`,
    short: String(numbers[index]),
  }))
  return plotWindow({ trace, loads, window, stages: [], marks }, style)
}

function plotWithStart(
  trace: Pick<Trace, 'timesS' | 'powerW'>,
  loads: readonly Load[],
  window: Window,
  style: Style,
): string {
  const stages = loads.flatMap((load) => load.stages)
  const marks = stages.map(({ startS, endS, label }, index) => ({
    startS,
    endS,
    long: `${index + 1} ${label}`,
    short: String(index + 1),
  }))
  const shown = { trace, loads, stages, marks }
  const whole = plotWindow({ ...shown, window }, style)
  const zoom = zoomWindow(loads, window, chartColumns(style))
  if (!zoom) return whole
  return `${whole}\n\n  The start in detail:\n${plotWindow({ ...shown, window: zoom }, style)}`
}

/** What is shown, in times of the log; its axis counts from `zeroS`. */
interface Window {
  readonly fromS: number
  readonly toS: number
  readonly zeroS: number
}

/** A name under the axis, or its short form where there is no room. */
interface AxisMark {
  readonly startS: number
  readonly endS: number
  readonly long: string
  readonly short: string
}

interface TracePlot {
  readonly trace: Pick<Trace, 'timesS' | 'powerW'>
  readonly loads: readonly Load[]
  readonly window: Window
  /** Drawn over the trace. */
  readonly stages: readonly Stage[]
  readonly marks: readonly AxisMark[]
}

const ROWS = 13

function plotWindow({ trace, loads, window, stages, marks }: TracePlot, style: Style): string {
  const columns = chartColumns(style)
  const measured = binTrace(trace, loads, window, columns)
  const top = Math.max(
    ...measured.filter((value) => value !== undefined),
    ...stages.map((stage) => stage.levelW.value),
  )
  const { fromS, toS, zeroS } = window
  const ticks = roundTimeTicks(fromS - zeroS, toS - zeroS, Math.floor(columns / 12)).filter(
    (tick) => tick >= 0,
  )
  return plotChart(
    {
      lines: [
        { values: measured, ink: 'measured' },
        ...stages.map((stage) => fitLine(stage, window, columns)),
      ],
      yRange: [0, top],
      rows: ROWS,
      underRows: underAxis(marks, window, columns),
      xTicks: ticks.map((tick) => ({
        column: columnOf(tick + zeroS, window, columns),
        label: sayMoment(tick),
      })),
    },
    style,
  )
}

function columnOf(timeS: number, window: Window, columns: number): number {
  return Math.floor(((timeS - window.fromS) / (window.toS - window.fromS)) * (columns - 1e-9))
}

/** Time-mean power a column, samples in pauses inside a load set aside; short stages keep their own level. */
function binTrace(
  trace: Pick<Trace, 'timesS' | 'powerW'>,
  loads: readonly Load[],
  window: Window,
  columns: number,
): (number | undefined)[] {
  const sums = new Float64Array(columns)
  const counts = new Float64Array(columns)
  for (let index = 0; index < trace.timesS.length; index++) {
    const timeS = trace.timesS[index]!
    if (timeS < window.fromS || timeS > window.toS || isPause(timeS, loads)) continue
    const column = columnOf(timeS, window, columns)
    sums[column] = sums[column]! + trace.powerW[index]!
    counts[column] = counts[column]! + 1
  }
  const values = fillForward(
    Array.from(sums, (sum, column) => (counts[column] ? sum / counts[column]! : undefined)),
  )
  for (const stage of loads.flatMap((load) => load.stages)) showShortStage(values, stage, window)
  return values
}

function isPause(timeS: number, loads: readonly Load[]): boolean {
  const load = loads.find((candidate) => timeS > candidate.startS && timeS < candidate.endS)
  if (!load || load.runs.length < 2) return false
  return !load.runs.some((run) => timeS > run.startS && timeS <= run.endS)
}

/** A column without samples repeats its neighbour: the line has no holes where the log is coarser than the chart. */
function fillForward(values: (number | undefined)[]): (number | undefined)[] {
  let last: number | undefined
  return values.map((value) => {
    last = value ?? last
    return last
  })
}

function showShortStage(values: (number | undefined)[], stage: Stage, window: Window): void {
  const secondsPerColumn = (window.toS - window.fromS) / values.length
  if (stage.endS - stage.startS > 2 * secondsPerColumn) return
  const column = columnOf((stage.startS + stage.endS) / 2, window, values.length)
  if (column >= 0 && column < values.length) values[column] = stage.levelW.value
}

/** The fitted stage over its columns; stages shorter than three columns would hide the data they fit. */
function fitLine(stage: Stage, window: Window, columns: number): ChartLine {
  const from = columnOf(stage.startS, window, columns)
  const to = columnOf(stage.endS, window, columns)
  const values = Array.from({ length: columns }, (_, column) => {
    if (to - from < 3 || column < from || column >= to) return undefined
    return stagePower(stage, window.fromS + ((column + 0.5) / columns) * (window.toS - window.fromS))
  })
  return { values, ink: 'fitted' }
}

function stagePower(stage: Stage, timeS: number): number {
  if (!stage.decay || !(stage.decay.tauS.value > 0)) return stage.levelW.value
  const { fromW, towardW, tauS } = stage.decay
  return towardW.value + (fromW - towardW.value) * Math.exp(-Math.max(0, timeS - stage.startS) / tauS.value)
}

/** One row of `▏1 burst` marks; a name is written where it fits, a number where it doesn't. */
function underAxis(marks: readonly AxisMark[], window: Window, columns: number): string[] {
  let row = ''
  for (const mark of marks) {
    const from = Math.max(0, columnOf(mark.startS, window, columns))
    const to = columnOf(Math.min(mark.endS, window.toS), window, columns)
    if (mark.startS > window.toS || mark.endS < window.fromS) continue
    const at = Math.max(from, row.length)
    const [long, short] = [`▏${mark.long}`, `▏${mark.short}`]
    const text = at + long.length <= Math.max(to, at) ? long : short
    if (at + text.length <= columns) row = row.padEnd(at) + text
  }
  return row === '' ? [] : [row]
}

/** Where to look closer: from just before the load to three times the end of its last short stage. */
function zoomWindow(loads: readonly Load[], window: Window, columns: number): Window | undefined {
  const load = [...loads].sort((a, b) => b.endS - b.startS - (a.endS - a.startS))[0]
  if (!load || load.stages.length < 2) return undefined
  const spanS = window.toS - window.fromS
  const short = load.stages.slice(0, -1).filter((stage) => (stage.endS - stage.startS) / spanS < 12 / columns)
  const last = short.at(-1)
  if (!last) return undefined
  const lengthS = Math.max(20, 3 * (last.endS - load.startS))
  if (lengthS > spanS / 3) return undefined
  return {
    fromS: Math.max(window.fromS, load.startS - lengthS / 15),
    toS: Math.min(window.toS, load.startS + lengthS),
    zeroS: window.zeroS,
  }
}
