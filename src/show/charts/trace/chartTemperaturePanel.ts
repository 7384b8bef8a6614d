import {
  type AxisLabels,
  type ChartPanel,
  labelLayers,
  lineLayer,
  panelSpec,
  roundLabels,
} from '../chartPanel.js'
import type { ChartLayer } from '../chartSpec.js'
import { thinTrace } from './chartThinTrace.js'
import { type PanelFrame, stageEdges, type TraceChartData, windowOf } from './chartTraceData.js'

/** Temperature over the same time as the power, with the ceiling at which heat takes power away. */
export function temperaturePanel(
  data: TraceChartData,
  series: { readonly timesS: Float64Array; readonly values: Float64Array },
  frame: PanelFrame,
  xLabels: AxisLabels | null,
): ChartLayer {
  const { theme } = frame
  const [startS, endS] = windowOf(data)
  const known = series.values.filter(
    (value, index) =>
      Number.isFinite(value) && series.timesS[index]! >= startS && series.timesS[index]! <= endS,
  )
  const { ceilingC } = data
  const lowest = Math.min(minimum(known), ceilingC ?? Number.POSITIVE_INFINITY)
  const highest = Math.max(maximum(known), ceilingC ?? Number.NEGATIVE_INFINITY)
  const margin = Math.max(3, (highest - lowest) * 0.12)
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [lowest - margin, highest + margin * 1.6],
    widthPx: frame.plotPx,
    heightPx: frame.narrow ? 90 : 110,
  }
  const ceiling =
    ceilingC === null
      ? []
      : [
          lineLayer(
            panel.xRange.map((x) => ({ x, y: ceilingC })),
            {
              color: theme.heat,
              strokeDash: [5, 4],
              strokeWidth: 1.5,
            },
          ),
          ...labelLayers(
            [
              {
                x: panel.xRange[1],
                y: ceilingC,
                text: `ceiling ${Math.round(ceilingC)} °C`,
                colour: theme.heatText,
              },
            ],
            theme,
            { align: 'right', baseline: 'bottom', dy: -4 },
          ),
        ]
  return panelSpec(panel, {
    heading: 'Temperature, °C',
    xLabels,
    yLabels: roundLabels([lowest - margin, highest + margin * 0.5], 4),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      lineLayer(thinTrace(series, panel), { color: theme.ink, strokeWidth: 1.5, strokeJoin: 'round' }),
      ...ceiling,
    ],
  })
}

function maximum(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(value, most), Number.NEGATIVE_INFINITY)
}

function minimum(values: Float64Array): number {
  return values.reduce((least, value) => Math.min(value, least), Number.POSITIVE_INFINITY)
}
