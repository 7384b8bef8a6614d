import type { Load } from '../segment/load.js'
import type { ChartPanel } from './chartPanel.js'
import type { ChartLayer } from './chartSpec.js'
import type { ChartTheme } from './chartTheme.js'

/** Hairlines where a stage begins, through every panel, so that the eye can follow an edge down. */
export function stageEdges(loads: readonly Load[], panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const edges = loads
    .flatMap((load) => load.stages.slice(1).map((stage) => stage.startS))
    .filter((startS) => startS > panel.xRange[0] && startS < panel.xRange[1])
  const values = edges.map((x) => ({ x, y: panel.yRange[0], y2: panel.yRange[1] }))
  const mark = { type: 'rule', color: theme.faint, strokeDash: [1, 3], strokeWidth: 1 }
  return values.length === 0 ? [] : [{ data: { values }, mark, encoding: { y2: { field: 'y2' } } }]
}
