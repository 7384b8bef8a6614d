import type { Trace } from '../log/trace.js'
import type { Load } from '../segment/load.js'
import type { ChartTheme } from './chartTheme.js'

/** What a trace chart shows: one trial of one machine. */
export interface TraceChartData {
  readonly name: string
  readonly machine: string
  readonly title: string
  readonly trace: Pick<Trace, 'timesS' | 'powerW' | 'temperatureC'>
  readonly loads: readonly Load[]
  readonly scoredRuns: readonly { readonly startS: number; readonly endS: number; readonly score: number }[]
  /** Unit of the score. */
  readonly scoreUnit: string
  readonly ceilingC: number | null
  /** Seconds of the log that are drawn; all of it when left out. */
  readonly windowS?: readonly [number, number]
}

/** How the panels of a trace are drawn. */
export interface PanelFrame {
  readonly theme: ChartTheme
  readonly plotPx: number
  readonly narrow: boolean
}

/** Seconds of the log that are drawn. */
export function windowOf(data: TraceChartData): readonly [number, number] {
  return data.windowS ?? [0, data.trace.timesS.at(-1) ?? 1]
}
