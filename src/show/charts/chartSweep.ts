import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayInterval, sayPower, sayScore, sayValue } from '../figures/sayEstimate.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { type ChartPanel, labelLayers, lineLayer, panelSpec, roundLabels, withUnit } from './chartPanel.js'
import { curveLayers, sayScoreTick } from './chartScoreCurve.js'
import { type ChartLayer, chartSpec, Y_LABELS_PX } from './chartSpec.js'
import { machineColours } from './chartTheme.js'

/** The same chip in chassis that sustain more or less power. */
export interface SweepChartData {
  readonly name: string
  readonly title: string
  readonly machine: string
  readonly chip: string
  readonly position: number
  readonly scoreUnit: string
  readonly lowerIsBetter: boolean
  readonly measuredRangeW: readonly [number, number]
  readonly testedSustainedW: number
  readonly sweep: readonly {
    readonly sustainedW: number
    readonly first: Estimate
    readonly steady: Estimate
  }[]
}

/** Projected steady score (with its band) and first-run score over the sustained power of the chassis. */
export function sweepChart(data: SweepChartData): Chart {
  const better = data.lowerIsBetter ? ' (lower is better)' : ''
  const chart = {
    title: data.title,
    subtitle: `${data.chip}: projected score in ${data.scoreUnit}${better} over the sustained power of a chassis. The band holds the true steady score with 90 % probability. Axes do not start at 0`,
  }
  return {
    ...chart,
    name: data.name,
    summary: saySweep(data),
    table: {
      columns: ['Sustained', 'First run', '90 % interval', 'Steady', '90 % interval'],
      rows: data.sweep.map((point) => [
        sayPower(point.sustainedW),
        sayValue(point.first, '', 'score'),
        sayInterval(point.first, 'score'),
        sayValue(point.steady, '', 'score'),
        sayInterval(point.steady, 'score'),
      ]),
    },
    specify: (frame) => chartSpec(chart, frame, { vconcat: [sweepPanel(data, frame)] }),
  }
}

function sweepPanel(data: SweepChartData, frame: ChartFrame): ChartLayer {
  const { theme } = frame
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const room = 84
  const ends = data.sweep.flatMap((point) => [point.first.value, point.steady.low, point.steady.high])
  const spread = Math.max(...ends) - Math.min(...ends)
  const panel: ChartPanel = {
    xRange: [data.sweep[0]!.sustainedW, data.sweep.at(-1)!.sustainedW],
    yRange: [Math.max(0, Math.min(...ends) - spread * 0.06), Math.max(...ends) + spread * 0.14],
    widthPx: frame.widthPx - Y_LABELS_PX - room - (frame.titled ? 36 : 0),
    heightPx: narrow ? 240 : 320,
  }
  const colours = machineColours(theme, data.position)
  const steady = data.sweep.map((point) => ({ powerW: point.sustainedW, score: point.steady }))
  const first = data.sweep.map((point) => ({ x: point.sustainedW, y: point.first.value }))
  return panelSpec(panel, {
    heading: `Score, ${data.scoreUnit}`,
    xLabels: withUnit(roundLabels(panel.xRange, narrow ? 4 : 9), 'W'),
    yLabels: roundLabels(panel.yRange, 5, sayScoreTick),
    theme,
    layers: [
      ...testedRule(data, panel, theme.ink, theme),
      lineLayer(first, { color: theme.faint, strokeWidth: 2 }),
      ...curveLayers(steady, data.measuredRangeW, colours.line),
      ...endLabels(data, panel, { first: theme.faint, steady: colours.text }, theme),
    ],
  })
}

function testedRule(
  data: SweepChartData,
  panel: ChartPanel,
  color: string,
  theme: ChartFrame['theme'],
): ChartLayer[] {
  const x = data.testedSustainedW
  const [low, high] = panel.xRange
  if (x < low || x > high) return []
  const right = x > (low + high) / 2
  const text = `${data.machine}: ${sayPower(x)}`
  return [
    {
      data: { values: [{ x, y: panel.yRange[0], y2: panel.yRange[1] }] },
      mark: { type: 'rule', color, strokeWidth: 1, strokeDash: [2, 3] },
      encoding: { y2: { field: 'y2' } },
    },
    ...labelLayers([{ x, y: panel.yRange[1], text, colour: color }], theme, {
      align: right ? 'right' : 'left',
      baseline: 'top',
      dx: right ? -6 : 6,
    }),
  ]
}

function endLabels(
  data: SweepChartData,
  panel: ChartPanel,
  colours: { readonly first: string; readonly steady: string },
  theme: ChartFrame['theme'],
): ChartLayer[] {
  const last = data.sweep.at(-1)!
  const perPixel = (panel.yRange[1] - panel.yRange[0]) / panel.heightPx
  const apart = Math.max(0, 18 * perPixel - Math.abs(last.first.value - last.steady.value)) / 2
  const up = last.first.value >= last.steady.value ? 1 : -1
  const x = panel.xRange[1]
  return labelLayers(
    [
      { x, y: last.first.value + up * apart, text: 'first run', colour: colours.first },
      { x, y: last.steady.value - up * apart, text: 'steady', colour: colours.steady },
    ],
    theme,
    { bold: true, dx: 8 },
  )
}

function saySweep(data: SweepChartData): string {
  const first = data.sweep[0]!
  const last = data.sweep.at(-1)!
  return [
    data.title,
    `A chassis that sustains ${sayPower(first.sustainedW)} gives a steady score of ${sayScore(first.steady, data.scoreUnit)},`,
    `one that sustains ${sayPower(last.sustainedW)} gives ${sayScore(last.steady, data.scoreUnit)}.`,
  ].join(' ')
}
