import type { Estimate } from '../../numeric/statistics/estimate.js'
import { groupDigits } from '../figures/digits.js'
import { sayCount, sayInterval, sayPower, sayPowers, sayScore, sayValue } from '../figures/sayEstimate.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { type ChartPanel, labelLayers, lineLayer, panelSpec, roundLabels, withUnit } from './chartPanel.js'
import { type ChartLayer, chartSpec, Y_LABELS_PX } from './chartSpec.js'
import { type ChartTheme, machineColours, machineShape } from './chartTheme.js'

/** Points of a score curve, power rising. */
export type CurvePoints = readonly {
  readonly powerW: number
  readonly score: Estimate
  readonly perWatt?: Estimate
}[]

/** What a score curve shows: one chip on one workload. */
export interface ScoreCurveChartData {
  readonly name: string
  readonly machine: string
  readonly chip: string
  readonly title: string
  /** Place of the machine in the order they were named: decides its colour. */
  readonly position: number
  readonly scoreUnit: string
  readonly lowerIsBetter: boolean
  /** Least and greatest mean power of the runs, W. */
  readonly measuredRangeW: readonly [number, number]
  readonly curve: CurvePoints
  readonly runs: readonly { readonly meanW: number; readonly score: number }[]
  readonly sustainedW: Estimate
  /** Temperature that the curve holds for and the runs were brought to, degrees C; null when it made no difference. */
  readonly referenceC: number | null
}

/** The score of a chip by power: runs, fitted curve with its 90 % band, and the range that was measured. */
export function scoreCurveChart(data: ScoreCurveChartData): Chart {
  const better = data.lowerIsBetter ? ' (lower is better)' : ''
  const chart = {
    title: data.title,
    subtitle: `${data.chip}: score in ${data.scoreUnit}${better} over package power in watts. ${sayDots(data)}, the band holds the true curve with 90 % probability; dashed beyond the runs. Axes do not start at 0`,
  }
  return {
    ...chart,
    name: data.name,
    summary: sayCurve(data),
    table: curveTable(data),
    specify: (frame) => chartSpec(chart, frame, { vconcat: [curvePanel(data, frame)] }),
  }
}

function sayDots({ referenceC }: ScoreCurveChartData): string {
  if (referenceC === null) return 'Marks are runs as measured'
  return `Marks are runs, brought to the ${Math.round(referenceC)}\u00a0°C that the curve holds for`
}

/** Band and line of a curve: solid where runs lie, paler and dashed beyond. */
export function curveLayers(
  curve: CurvePoints,
  measuredRangeW: readonly [number, number],
  colour: string,
): ChartLayer[] {
  const inside = (point: { powerW: number }) =>
    point.powerW >= measuredRangeW[0] && point.powerW <= measuredRangeW[1]
  const parts = [
    { points: curve.filter((point) => point.powerW <= nextAbove(curve, measuredRangeW[0])), measured: false },
    { points: curve.filter(inside), measured: true },
    { points: curve.filter((point) => point.powerW >= nextBelow(curve, measuredRangeW[1])), measured: false },
  ].filter((part) => part.points.length > 1)
  return [...parts.map((part) => band(part, colour)), ...parts.map((part) => centre(part, colour))]
}

interface CurvePart {
  readonly points: CurvePoints
  readonly measured: boolean
}

function band({ points, measured }: CurvePart, color: string): ChartLayer {
  return {
    data: { values: points.map((point) => ({ x: point.powerW, y: point.score.low, y2: point.score.high })) },
    mark: { type: 'area', color, opacity: measured ? 0.26 : 0.12, clip: true },
    encoding: { y2: { field: 'y2' } },
  }
}

function centre({ points, measured }: CurvePart, color: string): ChartLayer {
  return lineLayer(
    points.map((point) => ({ x: point.powerW, y: point.score.value })),
    measured ? { color, strokeWidth: 3 } : { color, strokeWidth: 2, strokeDash: [4, 4] },
  )
}

function nextAbove(curve: CurvePoints, powerW: number): number {
  return curve.find((point) => point.powerW >= powerW)?.powerW ?? Number.NEGATIVE_INFINITY
}

function nextBelow(curve: CurvePoints, powerW: number): number {
  return curve.findLast((point) => point.powerW <= powerW)?.powerW ?? Number.POSITIVE_INFINITY
}

function curvePanel(data: ScoreCurveChartData, frame: ChartFrame): ChartLayer {
  const { theme } = frame
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const colours = machineColours(theme, data.position)
  const panel: ChartPanel = {
    xRange: [data.curve[0]!.powerW, data.curve.at(-1)!.powerW],
    yRange: scoreRange(data),
    widthPx: frame.widthPx - Y_LABELS_PX - 28 - (frame.titled ? 36 : 0),
    heightPx: narrow ? 240 : 340,
  }
  const runs = data.runs.map((run) => ({ x: run.meanW, y: run.score }))
  const point = {
    type: 'point',
    filled: true,
    shape: machineShape(data.position),
    size: 46,
    stroke: theme.background,
    strokeWidth: 1.2,
    opacity: 1,
  }
  return panelSpec(panel, {
    heading: narrow ? `Score, ${data.scoreUnit}, over power` : `Score, ${data.scoreUnit}`,
    xLabels: withUnit(roundLabels(panel.xRange, narrow ? 5 : 9), 'W'),
    yLabels: roundLabels(panel.yRange, 5, sayScoreTick),
    theme,
    layers: [
      ...measuredRange(data, panel, theme, narrow),
      ...curveLayers(data.curve, data.measuredRangeW, colours.line),
      { data: { values: runs }, mark: { ...point, color: theme.ink } },
      ...sustainedMark(data, panel, theme, narrow),
    ],
  })
}

/** Where the runs lie, as a bracket on the floor of the plot. */
function measuredRange(
  data: ScoreCurveChartData,
  panel: ChartPanel,
  theme: ChartTheme,
  narrow: boolean,
): ChartLayer[] {
  const [low, high] = data.measuredRangeW
  const y = panel.yRange[0]
  const text = narrow ? 'runs' : `runs at ${sayPowers([low, high])}`
  return [
    lineLayer(
      [
        { x: low, y },
        { x: high, y },
      ],
      { color: theme.faint, strokeWidth: 5, clip: false },
    ),
    ...labelLayers([{ x: (low + high) / 2, y, text, colour: theme.faint }], theme, {
      align: 'center',
      baseline: 'bottom',
      dy: -7,
    }),
  ]
}

/** The power that the chassis sustains. */
function sustainedMark(
  data: ScoreCurveChartData,
  panel: ChartPanel,
  theme: ChartTheme,
  narrow: boolean,
): ChartLayer[] {
  const x = data.sustainedW.value
  if (x < panel.xRange[0] || x > panel.xRange[1]) return []
  const y2 = panel.yRange[1]
  const right = x > (panel.xRange[0] + panel.xRange[1]) / 2
  const text = narrow
    ? `sustained ${sayValue(data.sustainedW, 'W')}`
    : `sustained in ${data.machine}: ${sayValue(data.sustainedW, 'W')}`
  return [
    {
      data: { values: [{ x, y: panel.yRange[0], y2 }] },
      mark: { type: 'rule', color: theme.ink, strokeWidth: 1, strokeDash: [2, 3] },
      encoding: { y2: { field: 'y2' } },
    },
    ...labelLayers([{ x, y: y2, text, colour: theme.ink }], theme, {
      align: right ? 'right' : 'left',
      baseline: 'top',
      dx: right ? -6 : 6,
    }),
  ]
}

/** From a little under the lowest to a little over the highest thing drawn; never below zero. */
function scoreRange(data: ScoreCurveChartData): [number, number] {
  const [least, most] = curveSpan(data.curve)
  const low = Math.min(least, ...data.runs.map((run) => run.score))
  const high = Math.max(most, ...data.runs.map((run) => run.score))
  return [Math.max(0, low - (high - low) * 0.08), high + (high - low) * 0.1]
}

/**
 * Lowest and highest value worth showing: the bands, but no farther than `BAND_SHARE` of the lines' own span away from
 * them. An interval that opens wide where nothing was measured would otherwise flatten what was.
 */
export function curveSpan(points: CurvePoints): [number, number] {
  const values = points.map((point) => point.score.value)
  const [low, high] = [Math.min(...values), Math.max(...values)]
  const halves = points.map(({ score }) => (score.high - score.low) / 2).sort((a, b) => a - b)
  const reach = BAND_SHARE * (high - low) + 2 * (halves[Math.floor(halves.length / 2)] ?? 0)
  return [
    Math.max(low - reach, Math.min(...points.map((point) => point.score.low))),
    Math.min(high + reach, Math.max(...points.map((point) => point.score.high))),
  ]
}

const BAND_SHARE = 0.35

/** A score as an axis label: whole when it is large. */
export function sayScoreTick(value: number): string {
  return Math.abs(value) >= 100 ? groupDigits(value, 0) : String(Number(value.toPrecision(3)))
}

function sayCurve(data: ScoreCurveChartData): string {
  const [low, high] = data.measuredRangeW
  const first = data.curve[0]!
  const last = data.curve.at(-1)!
  return [
    data.title,
    `${sayCount(data.runs.length, 'run')} at ${sayPowers([low, high])}.`,
    `The fitted score goes from ${sayScore(first.score, data.scoreUnit)} at ${sayPower(first.powerW)}`,
    `to ${sayScore(last.score, data.scoreUnit)} at ${sayPower(last.powerW)}.`,
  ].join(' ')
}

function curveTable(data: ScoreCurveChartData): Chart['table'] {
  const step = Math.max(1, Math.round(data.curve.length / 10))
  const rows = data.curve
    .filter((_, index) => index % step === 0)
    .map((point) => [
      sayPower(point.powerW),
      sayValue(point.score, '', 'score'),
      sayInterval(point.score, 'score'),
      point.powerW >= data.measuredRangeW[0] && point.powerW <= data.measuredRangeW[1] ? 'yes' : 'no',
    ])
  return { columns: ['Power', `Score, ${data.scoreUnit}`, '90 % interval', 'Runs there'], rows }
}
