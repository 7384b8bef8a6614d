import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayEstimate, sayInterval, sayValue } from '../figures/sayEstimate.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { type ChartLayer, chartSpec, LABEL_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import { type ChartTheme, machineColours } from './chartTheme.js'

/** The gap between the steady scores of two machines and its parts, in percent of the second machine's score. */
export interface GapChartData {
  readonly name: string
  readonly title: string
  readonly first: string
  readonly second: string
  readonly lowerIsBetter: boolean
  /** Places of the two machines in the order they were named: decide the colours. */
  readonly positions: readonly [number, number]
  readonly total: Estimate
  readonly parts: readonly { readonly name: string; readonly percent: Estimate }[]
}

/** Position of the machine that a part speaks for. */
function aheadBy(percent: number, { lowerIsBetter, positions }: GapChartData): number {
  return percent < 0 === lowerIsBetter ? positions[0] : positions[1]
}

/** Parts of a gap as bars to the left (less) and right (more) of nothing, each with its interval; the whole below. */
export function gapChart(data: GapChartData): Chart {
  const chart = {
    title: data.title,
    subtitle: `Parts of the difference between the steady scores of ${data.first} and ${data.second}, in percent; whiskers are 90 % intervals. The parts multiply to the whole`,
  }
  const all = [...data.parts, { name: 'all together', percent: data.total }]
  return {
    ...chart,
    name: data.name,
    summary: `${data.title} ${all.map((part) => `${part.name}: ${isNothing(part.percent) ? '0 %' : sayEstimate(part.percent, '%')}`).join('; ')}.`,
    table: {
      columns: ['Part', 'Percent', '90 % interval'],
      rows: all.map(({ name, percent }) => [
        name,
        sayPercent(percent),
        isNothing(percent) ? '0' : sayInterval(percent),
      ]),
    },
    specify: (frame) => chartSpec(chart, frame, { vconcat: [gapPanel(data, frame)] }),
  }
}

interface Bar {
  readonly name: string
  readonly order: number
  readonly x: number
  readonly x2: number
  readonly low: number
  readonly high: number
  readonly text: string
  readonly textX: number
  readonly colour: string
}

const ROW_PX = 40

function gapPanel(data: GapChartData, frame: ChartFrame): ChartLayer {
  const { theme } = frame
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const bars = barsOf(data, theme)
  const namesPx = narrow ? 0 : Math.max(...bars.map((bar) => chartTextWidth(bar.name, LABEL_PX))) + 10
  const widthPx = frame.widthPx - namesPx - (frame.titled ? 36 : 0) - 8
  const order = {
    field: 'order',
    type: 'ordinal',
    axis: null,
    scale: { paddingInner: 0.35, paddingOuter: 0.2 },
  }
  return {
    width: widthPx,
    height: bars.length * (narrow ? ROW_PX + 14 : ROW_PX) + 20,
    data: { values: bars },
    encoding: { y: order },
    layer: [
      barLayer(bars, widthPx, narrow, theme),
      ...directions(data, bars, theme, widthPx),
      {
        mark: { type: 'rule', color: theme.ink, strokeWidth: 1.2, yOffset: narrow ? 9 : 0 },
        encoding: { x: { field: 'low', type: 'quantitative' }, x2: { field: 'high' } },
      },
      ...nameLayers(theme, narrow),
      {
        mark: {
          type: 'text',
          align: 'left',
          dx: 8,
          dy: narrow ? 9 : 0,
          fontSize: LABEL_PX,
          fontWeight: 600,
          color: theme.ink,
        },
        encoding: { x: { field: 'textX', type: 'quantitative' }, text: { field: 'text', type: 'nominal' } },
      },
    ],
  }
}

function barLayer(bars: readonly Bar[], widthPx: number, narrow: boolean, theme: ChartTheme): ChartLayer {
  const axis = {
    labels: true,
    labelExpr: "(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '−') + ' %'",
    tickCount: narrow ? 4 : 8,
    gridColor: { condition: { test: 'datum.value === 0', value: theme.ink }, value: theme.grid },
  }
  return {
    mark: { type: 'bar', ...(narrow ? { yOffset: 9, height: 20 } : {}) },
    encoding: {
      x: {
        field: 'x',
        type: 'quantitative',
        axis,
        scale: { domain: barDomain(bars, widthPx), nice: false },
      },
      x2: { field: 'x2' },
      color: { field: 'colour', type: 'nominal', scale: null },
    },
  }
}

/** Percents from the left to the right edge: all bars with their whiskers, and room for the figures behind them. */
function barDomain(bars: readonly Bar[], widthPx: number): [number, number] {
  const textPx = Math.max(...bars.map((bar) => chartTextWidth(bar.text, LABEL_PX, true))) + 14
  const low = Math.min(0, ...bars.map((bar) => bar.low))
  const high = Math.max(0, ...bars.map((bar) => bar.high))
  const perPixel = Math.max(1e-6, high - low) / (widthPx - textPx - 8)
  return [low - perPixel * 8, high + perPixel * textPx]
}

/** Which side of zero is whose, over the plot, where there is room to say it. */
function directions(
  data: GapChartData,
  bars: readonly Bar[],
  theme: ChartTheme,
  widthPx: number,
): ChartLayer[] {
  const side = (text: string, align: string, dx: number, position: number) => ({
    data: { values: [{ x: 0, text }] },
    mark: {
      type: 'text',
      align,
      baseline: 'bottom',
      dx,
      fontSize: LABEL_PX,
      color: machineColours(theme, position).text,
    },
    encoding: {
      x: { field: 'x', type: 'quantitative' },
      y: { value: -2 },
      text: { field: 'text', type: 'nominal' },
    },
  })
  const [low, high] = barDomain(bars, widthPx)
  const zeroPx = (widthPx * -low) / (high - low)
  const sides = [
    { sign: -1, align: 'right', roomPx: zeroPx },
    { sign: 1, align: 'left', roomPx: widthPx - zeroPx },
  ]
  return sides.flatMap(({ sign, align, roomPx }) => {
    const position = aheadBy(sign, data)
    const text = `${position === data.positions[0] ? data.first : data.second} ahead`
    return chartTextWidth(text, LABEL_PX) + 8 <= roomPx ? [side(text, align, 6 * sign, position)] : []
  })
}

function nameLayers(theme: ChartTheme, narrow: boolean): ChartLayer[] {
  const mark = { type: 'text', fontSize: LABEL_PX, color: theme.ink }
  const encoding = { x: { value: narrow ? 2 : -10 }, text: { field: 'name', type: 'nominal' } }
  return [{ mark: { ...mark, align: narrow ? 'left' : 'right', dy: narrow ? -12 : 0 }, encoding }]
}

/** Side by side when they add up in percent would be false: each bar starts at zero. */
function barsOf(data: GapChartData, theme: ChartTheme): Bar[] {
  const parts = data.parts.filter((part) => !isNothing(part.percent))
  return [...parts, { name: 'all together', percent: data.total }].map(({ name, percent }, order) => ({
    name,
    order,
    x: 0,
    x2: percent.value,
    low: percent.low,
    high: percent.high,
    text: sayPercent(percent),
    textX: Math.max(0, percent.high),
    colour: order === parts.length ? theme.raw : machineColours(theme, aheadBy(percent.value, data)).line,
  }))
}

/** A part that is certain to be none: the two machines are alike in it. */
function isNothing(percent: Estimate): boolean {
  return Math.max(Math.abs(percent.low), Math.abs(percent.high)) < 0.005
}

function sayPercent(percent: Estimate): string {
  return isNothing(percent) ? '0\u00a0%' : sayValue(percent, '%').replace('-', '−')
}
