import { roundTicks } from '../../numeric/roundTicks.js'
import { groupDigits } from '../figures/digits.js'
import { type ChartPoint, chartColumns, plotChart } from './plotChart.js'
import type { Ink, Style } from './style.js'

/** A curve over power with its interval: arrays of equal length, `x` rising. */
export interface Curve {
  readonly x: readonly number[]
  readonly value: readonly number[]
  readonly low?: readonly number[]
  readonly high?: readonly number[]
  readonly ink?: Ink
  /** One letter set at the curve's right end. */
  readonly tag?: string
}

export interface CurvePlot {
  readonly curves: readonly Curve[]
  readonly points?: readonly {
    readonly x: number
    readonly y: number
    readonly symbol?: string
    readonly ink?: Ink
  }[]
  /** A stretch of x to mark under the axis, with what it means. */
  readonly spans?: readonly { readonly from: number; readonly to: number; readonly text: string }[]
  readonly xUnit: string
  readonly rows?: number
}

/** Curves with dotted interval bounds and single points over an x axis with a unit. */
export function plotCurve(plot: CurvePlot, style: Style): string {
  const columns = chartColumns(style)
  const xs = plot.curves.flatMap((curve) => curve.x)
  const range: readonly [number, number] = [Math.min(...xs), Math.max(...xs)]
  const inside = (plot.points ?? []).filter((point) => point.x >= range[0] && point.x <= range[1])
  const ys = plot.curves.flatMap((curve) => [...curve.value, ...(curve.low ?? []), ...(curve.high ?? [])])
  const all = [...ys, ...inside.map((point) => point.y)]
  const lines = plot.curves.flatMap((curve) => [
    ...[curve.low, curve.high].flatMap((bound) =>
      bound ? [{ values: resample(curve.x, bound, range, columns), ink: 'band' as const, dotted: true }] : [],
    ),
    { values: resample(curve.x, curve.value, range, columns), ink: curve.ink ?? ('fitted' as const) },
  ])
  const ticks = roundTicks(range[0], range[1], Math.floor(columns / 10))
  return plotChart(
    {
      lines,
      points: [...inside.map((point) => pointAt(point, range, columns)), ...tags(plot.curves, columns)],
      yRange: [Math.min(...all), Math.max(...all)],
      rows: plot.rows ?? 12,
      underRows: (plot.spans ?? []).map((span) => spanRow(span, range, columns)),
      xTicks: ticks.map((tick) => ({
        column: columnOf(tick, range, columns),
        label: `${groupDigits(tick, tick % 1 === 0 ? 0 : 1)} ${plot.xUnit}`,
      })),
    },
    style,
  )
}

function columnOf(x: number, [low, high]: readonly [number, number], columns: number): number {
  return Math.round(((x - low) / (high - low || 1)) * (columns - 1))
}

/** Linear interpolation at the columns' powers; undefined outside the curve's own range. */
function resample(
  x: readonly number[],
  y: readonly number[],
  [low, high]: readonly [number, number],
  columns: number,
): (number | undefined)[] {
  return Array.from({ length: columns }, (_, column) => {
    const at = low + ((high - low) * column) / (columns - 1)
    const right = x.findIndex((value) => value >= at - 1e-9)
    if (right < 0 || (right === 0 && at < x[0]! - 1e-9)) return undefined
    if (right === 0) return y[0]
    const share = (at - x[right - 1]!) / (x[right]! - x[right - 1]!)
    return y[right - 1]! + share * (y[right]! - y[right - 1]!)
  })
}

function pointAt(
  point: { readonly x: number; readonly y: number; readonly symbol?: string; readonly ink?: Ink },
  range: readonly [number, number],
  columns: number,
): ChartPoint {
  return {
    column: columnOf(point.x, range, columns),
    value: point.y,
    symbol: point.symbol ?? '●',
    ink: point.ink ?? 'measured',
  }
}

function tags(curves: readonly Curve[], columns: number): ChartPoint[] {
  return curves.flatMap((curve) => {
    const last = curve.value.at(-1)
    if (!curve.tag || last === undefined) return []
    return [{ column: columns - 1, value: last, symbol: curve.tag, ink: curve.ink ?? 'fitted' }]
  })
}

function spanRow(
  span: { readonly from: number; readonly to: number; readonly text: string },
  range: readonly [number, number],
  columns: number,
): string {
  const from = Math.max(0, columnOf(span.from, range, columns))
  const to = Math.min(columns - 1, columnOf(span.to, range, columns))
  const length = Math.max(1, to - from + 1)
  const label = ` ${span.text} `
  if (label.length + 2 > length)
    return `${' '.repeat(from)}${'━'.repeat(length)} ${span.text}`.slice(0, columns)
  const before = Math.floor((length - label.length) / 2)
  return ' '.repeat(from) + '━'.repeat(before) + label + '━'.repeat(length - label.length - before)
}
