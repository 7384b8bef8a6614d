import { roundTicks } from '../../numeric/roundTicks.js'
import { type ChartLayer, LABEL_PX, Y_LABELS_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import type { ChartTheme } from './chartTheme.js'

/** One plot with its scales: data ranges and the pixels they fill. */
export interface ChartPanel {
  readonly xRange: readonly [number, number]
  readonly yRange: readonly [number, number]
  readonly widthPx: number
  readonly heightPx: number
}

/** A word in the plot, at data coordinates. */
export interface ChartLabel {
  readonly x: number
  readonly y: number
  readonly text: string
  readonly colour: string
}

/** How labels of a layer stand to their point. */
export interface LabelStance {
  readonly align?: 'left' | 'center' | 'right'
  readonly baseline?: 'top' | 'middle' | 'bottom' | 'alphabetic'
  readonly dx?: number
  readonly dy?: number
  readonly bold?: boolean
  readonly sizePx?: number
}

/** Axis labels by value: the unit is set behind the last one. */
export interface AxisLabels {
  readonly values: readonly number[]
  readonly texts: readonly string[]
}

/** A panel as a layered view: heading in words, the axes, and layers whose data have `x` and `y`. */
export function panelSpec(
  panel: ChartPanel,
  parts: {
    readonly heading: string
    readonly xLabels: AxisLabels | null
    readonly yLabels: AxisLabels
    readonly layers: readonly ChartLayer[]
    readonly theme: ChartTheme
  },
): ChartLayer {
  return {
    width: panel.widthPx,
    height: panel.heightPx,
    ...(parts.heading === ''
      ? {}
      : { title: headingOf(fitText(parts.heading, panel.widthPx + Y_LABELS_PX, true), parts.theme) }),
    encoding: {
      x: {
        field: 'x',
        type: 'quantitative',
        scale: { domain: panel.xRange, nice: false, zero: false },
        axis: parts.xLabels ? { grid: false, ...axisLabels(parts.xLabels) } : null,
      },
      y: {
        field: 'y',
        type: 'quantitative',
        scale: { domain: panel.yRange, nice: false, zero: false },
        axis: { ...axisLabels(parts.yLabels), minExtent: Y_LABELS_PX, maxExtent: Y_LABELS_PX },
      },
    },
    layer: parts.layers,
  }
}

/** Text over the plot, with a halo of the background so that it reads on lines. */
export function labelLayers(
  labels: readonly ChartLabel[],
  theme: ChartTheme,
  stance: LabelStance = {},
): ChartLayer[] {
  if (labels.length === 0) return []
  const mark = {
    type: 'text',
    align: stance.align ?? 'left',
    baseline: stance.baseline ?? 'middle',
    dx: stance.dx ?? 0,
    dy: stance.dy ?? 0,
    fontSize: stance.sizePx ?? LABEL_PX,
    fontWeight: stance.bold ? 600 : 400,
  }
  const text = { field: 'text', type: 'nominal' }
  const data = { values: labels }
  const halo = { stroke: theme.background, strokeWidth: 4, strokeJoin: 'round', fill: theme.background }
  return [
    { data, mark: { ...mark, ...halo }, encoding: { text } },
    { data, mark, encoding: { text, color: { field: 'colour', type: 'nominal', scale: null } } },
  ]
}

/** A plain line through points. */
export function lineLayer(
  points: readonly { readonly x: number; readonly y: number }[],
  mark: ChartLayer,
): ChartLayer {
  return { data: { values: points }, mark: { type: 'line', interpolate: 'linear', clip: true, ...mark } }
}

/** Round values for an axis of y, thousands set apart, in at most `most` steps. */
export function roundLabels(range: readonly [number, number], most: number, say = sayPlain): AxisLabels {
  const values = roundTicks(range[0], range[1], most)
  return { values, texts: values.map(say) }
}

/** The same with a unit behind the last label. */
export function withUnit(labels: AxisLabels, unit: string): AxisLabels {
  const last = labels.texts.length - 1
  return { ...labels, texts: labels.texts.map((text, index) => (index === last ? `${text} ${unit}` : text)) }
}

/** Pixel column of a value of x, from the left of the plot. */
export function xPixel(panel: ChartPanel, x: number): number {
  return ((x - panel.xRange[0]) / (panel.xRange[1] - panel.xRange[0])) * panel.widthPx
}

/** Pixel row of a value of y, from the top of the plot. */
export function yPixel(panel: ChartPanel, y: number): number {
  return ((panel.yRange[1] - y) / (panel.yRange[1] - panel.yRange[0])) * panel.heightPx
}

/** Value of x at a pixel column. */
export function xAtPixel(panel: ChartPanel, pixel: number): number {
  return panel.xRange[0] + (pixel / panel.widthPx) * (panel.xRange[1] - panel.xRange[0])
}

/** Value of y at a pixel row. */
export function yAtPixel(panel: ChartPanel, pixel: number): number {
  return panel.yRange[1] - (pixel / panel.heightPx) * (panel.yRange[1] - panel.yRange[0])
}

/** Text cut to a width, with an ellipsis where something is missing. */
export function fitText(text: string, widthPx: number, bold = false): string {
  if (chartTextWidth(text, LABEL_PX, bold) <= widthPx) return text
  let kept = text
  while (kept.length > 1 && chartTextWidth(`${kept}…`, LABEL_PX, bold) > widthPx) kept = kept.slice(0, -1)
  return `${kept.trimEnd()}…`
}

function headingOf(text: string, theme: ChartTheme): ChartLayer {
  return {
    text,
    anchor: 'start',
    frame: 'group',
    dx: -Y_LABELS_PX,
    fontSize: LABEL_PX,
    fontWeight: 600,
    color: theme.ink,
    offset: 8,
  }
}

function axisLabels(labels: AxisLabels): ChartLayer {
  const texts = labels.texts.map((text) => `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`)
  return {
    values: labels.values,
    labelExpr: `[${texts.join(',')}][indexof(${JSON.stringify(labels.values)}, datum.value)]`,
  }
}

function sayPlain(value: number): string {
  const text = String(Number(value.toPrecision(12)))
  return Math.abs(value) >= 10_000 ? text.replace(/\B(?=(\d{3})+(?!\d))/g, '\u202f') : text
}
