import { sayEstimate } from '../figures/sayEstimate.js'
import type { Chart, ChartFrame } from './chart.js'
import {
  type AxisLabels,
  type ChartPanel,
  fitText,
  labelLayers,
  panelSpec,
  roundLabels,
} from './chartPanel.js'
import {
  GAP_PX,
  isPowered,
  type ReviewChartData,
  type ReviewChartRow,
  type ReviewLayout,
  rangeOf,
  reviewLayout,
  signed,
  TOP_PX,
} from './chartReviewLayout.js'
import { type ChartLayer, chartSpec, LABEL_PX, Y_LABELS_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import { type ChartTheme, machineColours } from './chartTheme.js'

/** Two marks a workload, on either side of nothing: a dot as tested, a diamond at equal power, with their intervals. */
export function reviewChart(data: ReviewChartData): Chart {
  const { first, second } = data
  const cut = rangeOf(data).isCut ? '. Intervals that reach far out end at the frame' : ''
  const diamonds = isPowered(data) ? ' Diamonds: the chips at equal power.' : ''
  const chart = {
    title: data.title,
    subtitle: `How much faster ${first} is than ${second}, in percent, by workload. Dots: as tested.${diamonds} Bars are 90 % intervals, gray where they hold zero${cut}`,
  }
  return {
    ...chart,
    name: data.name,
    summary: `${data.title}. ${data.rows.map(sayRow).join(' ')}`,
    table: data.table,
    specify: (frame) => chartSpec(chart, frame, { vconcat: [reviewPanel(data, frame)] }),
  }
}

function sayRow({ name, secondName, asTested, atEqualPower }: ReviewChartRow): string {
  const equal =
    atEqualPower === null
      ? 'power not known'
      : `${signed(sayEstimate(atEqualPower, '%'), atEqualPower)} ${secondName ?? 'at equal power'}`
  return `${name}: ${signed(sayEstimate(asTested, '%'), asTested)} as tested, ${equal}.`
}

function reviewPanel(data: ReviewChartData, frame: ChartFrame): ChartLayer {
  const { theme } = frame
  const layout = reviewLayout(data, frame)
  const { narrow, namePx, figurePx, rowPx } = layout
  const heightPx = TOP_PX + data.rows.length * rowPx
  const plotPx = frame.widthPx - Math.max(namePx, Y_LABELS_PX) - figurePx - (frame.titled ? 36 : 0)
  const scale = rangeOf(data).range
  // Names stand left of the scale, partly where the labels of y would be.
  const leftPx = Math.max(0, namePx - Y_LABELS_PX)
  const perPixel = (scale[1] - scale[0]) / plotPx
  const panel: ChartPanel = {
    xRange: [scale[0] - leftPx * perPixel, scale[1]],
    yRange: [heightPx, 0],
    widthPx: plotPx + leftPx,
    heightPx,
  }
  const labels = roundLabels(scale, narrow ? 4 : 7, sayTick)
  return panelSpec(panel, {
    heading: '',
    xLabels: labels,
    yLabels: NO_LABELS,
    theme,
    layers: [
      gridLayer(labels, [TOP_PX, heightPx], theme),
      ...separatorLayers(data, layout, panel, theme),
      ...markLayers(layout, scale, theme),
      ...sideLayers(data, panel, theme),
      ...nameLayers(layout, panel, theme),
      ...figureLayers(layout, panel, theme),
    ],
  })
}

const NO_LABELS: AxisLabels = { values: [], texts: [] }

function gridLayer(labels: AxisLabels, [y, y2]: readonly [number, number], theme: ChartTheme): ChartLayer {
  const values = labels.values.map((x) => ({ x, y, y2, colour: x === 0 ? theme.ink : theme.grid }))
  return {
    data: { values },
    mark: { type: 'rule', strokeWidth: 1 },
    encoding: { y2: { field: 'y2' }, color: { field: 'colour', type: 'nominal', scale: null } },
  }
}

/** A line over the mean. */
function separatorLayers(
  { rows }: ReviewChartData,
  { rowPx }: ReviewLayout,
  panel: ChartPanel,
  theme: ChartTheme,
): ChartLayer[] {
  const index = rows.findIndex(({ isMean }) => isMean)
  if (index < 1) return []
  const y = TOP_PX + index * rowPx - GAP_PX / 2
  return [
    {
      data: { values: [{ y }] },
      mark: { type: 'rule', color: theme.faint, strokeWidth: 1 },
      encoding: { x: { value: -Y_LABELS_PX }, x2: { value: panel.widthPx } },
    },
  ]
}

function markLayers(
  { marks }: ReviewLayout,
  [low, high]: readonly [number, number],
  theme: ChartTheme,
): ChartLayer[] {
  const inside = (x: number) => Math.min(high, Math.max(low, x))
  const values = marks.map(({ y, line, percent, isTested }) => {
    return { x: inside(percent.low), x2: inside(percent.high), at: inside(percent.value), y, line, isTested }
  })
  const color = { field: 'line', type: 'nominal', scale: null }
  const points = (isTested: boolean, shape: object) => ({
    data: {
      values: values.filter((of) => of.isTested === isTested).map(({ at, y, line }) => ({ x: at, y, line })),
    },
    mark: { type: 'point', opacity: 1, ...shape },
  })
  return [
    {
      data: { values },
      mark: { type: 'rule', strokeWidth: 4, opacity: 0.45 },
      encoding: { x2: { field: 'x2' }, color },
    },
    {
      ...points(true, { shape: 'circle', filled: true, size: 95, stroke: theme.background, strokeWidth: 1 }),
      encoding: { fill: color },
    },
    {
      ...points(false, { shape: 'diamond', filled: true, size: 95, fill: theme.background, strokeWidth: 2 }),
      encoding: { stroke: color },
    },
  ]
}

/** Which side of zero is whose, over the plot, where there is room to say it. */
function sideLayers(data: ReviewChartData, panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const [low, high] = rangeOf(data).range
  const perPixel = (panel.xRange[1] - panel.xRange[0]) / panel.widthPx
  const sides = [
    { name: data.second, position: data.positions[1], align: 'right', sign: -1, roomPx: -low / perPixel },
    { name: data.first, position: data.positions[0], align: 'left', sign: 1, roomPx: high / perPixel },
  ] as const
  return sides.flatMap(({ name, position, align, sign, roomPx }) => {
    const text = `${name} ahead`
    if (chartTextWidth(text, LABEL_PX) + 8 > roomPx) return []
    const label = { x: 0, y: TOP_PX / 2, text, colour: machineColours(theme, position).text }
    return labelLayers([label], theme, { align, dx: 6 * sign })
  })
}

function nameLayers(
  { names, narrow, namePx }: ReviewLayout,
  panel: ChartPanel,
  theme: ChartTheme,
): ChartLayer[] {
  const roomPx = narrow ? panel.widthPx + Y_LABELS_PX : namePx - 10
  return [true, false].flatMap((isMean) =>
    labelLayers(
      names
        .filter((of) => of.isMean === isMean)
        .map(({ y, text }) => ({
          x: panel.xRange[0],
          y,
          text: fitText(text, roomPx, isMean),
          colour: theme.ink,
        })),
      theme,
      { dx: -Y_LABELS_PX, bold: isMean },
    ),
  )
}

function figureLayers(
  { marks, powerless, narrow }: ReviewLayout,
  panel: ChartPanel,
  theme: ChartTheme,
): ChartLayer[] {
  const [, x] = panel.xRange
  const missing = narrow ? '–' : 'power not known'
  const labels = [
    ...marks.map(({ y, figure, text }) => ({ x, y, text: figure, colour: text })),
    ...powerless.map((y) => ({ x, y, text: missing, colour: theme.faint })),
  ]
  return labelLayers(labels, theme, { dx: 12 })
}

function sayTick(value: number): string {
  const text = String(Math.abs(Number(value.toPrecision(6))))
  return `${value > 0 ? '+' : value < 0 ? '−' : ''}${text} %`
}
