import { groupDigits } from '../../figures/digits.js'
import {
  type AxisLabels,
  type ChartLabel,
  type ChartPanel,
  labelLayers,
  panelSpec,
  roundLabels,
  xPixel,
} from '../chartPanel.js'
import type { ChartLayer } from '../chartSpec.js'
import type { ChartTheme } from '../chartTheme.js'
import { type PanelFrame, stageEdges, type TraceChartData, windowOf } from './chartTraceData.js'

/** The score of each run as a bar over the time that it took. */
export function runScoresPanel(
  data: TraceChartData,
  frame: PanelFrame,
  xLabels: AxisLabels | null,
): ChartLayer {
  const { theme } = frame
  const [startS, endS] = windowOf(data)
  const runs = data.scoredRuns
    .filter((run) => run.endS > startS && run.startS < endS)
    .map((run) => ({ ...run, startS: Math.max(startS, run.startS), endS: Math.min(endS, run.endS) }))
  const scores = runs.map((run) => run.score)
  const lowest = Math.min(...scores)
  const highest = Math.max(...scores)
  const margin = Math.max((highest - lowest) * 0.25, highest * 0.01)
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [lowest - margin, highest + margin * 2],
    widthPx: frame.plotPx,
    heightPx: frame.narrow ? 90 : 110,
  }
  const values = runs.map((run) => ({
    x: run.startS,
    x2: run.endS,
    y: run.score,
  }))
  return panelSpec(panel, {
    heading: frame.narrow
      ? `Scores, ${data.scoreUnit} (axis not from 0)`
      : `Score of each run, ${data.scoreUnit} (axis does not start at 0)`,
    xLabels,
    yLabels: roundLabels([lowest - margin, highest + margin], 4, (value) => groupDigits(value, 0)),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      {
        data: { values },
        mark: { type: 'rule', color: theme.ink, strokeWidth: 4 },
        encoding: { x2: { field: 'x2' } },
      },
      ...scoreLabels(runs, panel, theme),
    ],
  })
}

/** The first and the last score in figures, when they stand apart. */
function scoreLabels(runs: TraceChartData['scoredRuns'], panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const first = runs[0]!
  const last = runs.at(-1)!
  const label = (run: typeof first): ChartLabel => ({
    x: (run.startS + run.endS) / 2,
    y: run.score,
    text: groupDigits(run.score, run.score < 100 ? 1 : 0),
    colour: theme.ink,
  })
  const apart = xPixel(panel, last.startS) - xPixel(panel, first.startS) > 90
  const stance = { baseline: 'bottom', dy: -6 } as const
  return [
    ...labelLayers([label(first)], theme, {
      ...stance,
      align: xPixel(panel, first.startS) < 30 ? 'left' : 'center',
    }),
    ...(apart
      ? labelLayers([label(last)], theme, {
          ...stance,
          align: xPixel(panel, last.endS) > panel.widthPx - 30 ? 'right' : 'center',
        })
      : []),
  ]
}
