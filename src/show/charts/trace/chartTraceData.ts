import type { Trace } from '../../../log/trace.js'
import type { Estimate } from '../../../numeric/statistics/estimate.js'
import type { Load, Stage } from '../../../segment/load.js'
import type { ChartPanel } from '../chartPanel.js'
import type { ChartLayer } from '../chartSpec.js'
import type { ChartTheme } from '../chartTheme.js'

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
  /** Whether temperature and scores are left out, where another chart shows them. */
  readonly powerAlone?: boolean
}

/** Where the power of a load settles, for its last stage; undefined for others, and where the log does not show it. */
export function settledW(stage: Stage, { stages, sustained }: Load): Estimate | undefined {
  return stage === stages.at(-1) && sustained.reached ? sustained.levelW : undefined
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

/** Hairlines where a stage begins, through every panel, so that the eye can follow an edge down. */
export function stageEdges(loads: readonly Load[], panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const edges = loads
    .flatMap((load) => load.stages.slice(1).map((stage) => stage.startS))
    .filter((startS) => startS > panel.xRange[0] && startS < panel.xRange[1])
  const values = edges.map((x) => ({ x, y: panel.yRange[0], y2: panel.yRange[1] }))
  const mark = { type: 'rule', color: theme.faint, strokeDash: [1, 3], strokeWidth: 1 }
  return values.length === 0 ? [] : [{ data: { values }, mark, encoding: { y2: { field: 'y2' } } }]
}
