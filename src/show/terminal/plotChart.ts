import asciichart from 'asciichart'
import { roundStepAbove } from '../../numeric/roundTicks.js'
import { groupDigits, NO_BREAK } from '../figures/digits.js'
import { type Ink, inkText, type Style } from './style.js'

/** A line across the chart: one value a column; undefined leaves the column free. Later layers cover earlier ones. */
export interface ChartLine {
  readonly values: readonly (number | undefined)[]
  readonly ink: Ink
  /** Drawn as dots instead of strokes: for the bounds of an interval. */
  readonly dotted?: boolean
}

/** A single mark at a column. */
export interface ChartPoint {
  readonly column: number
  readonly value: number
  readonly symbol: string
  readonly ink: Ink
}

export interface ChartOptions {
  readonly lines: readonly ChartLine[]
  readonly points?: readonly ChartPoint[]
  /** Axis bounds of y; padded to round ticks. */
  readonly yRange: readonly [number, number]
  readonly xTicks: readonly { readonly column: number; readonly label: string }[]
  /** Rows of plain text under the axis, each as wide as the plot (stage marks, measured range). */
  readonly underRows?: readonly string[]
  /** Text rows of the plot itself, without axis. */
  readonly rows: number
}

/** Columns that the y labels and the axis take. */
const GUTTER = 9

/** Columns left for data in a style. */
export function chartColumns(style: Style): number {
  return Math.max(20, Math.min(style.width, 120) - GUTTER - 2)
}

/**
 * A chart of lines and marks in text: round ticks on y, ticks on x, later layers over earlier ones.
 * Lines are drawn by asciichart, one layer each; layers are laid over one another cell by cell.
 */
export function plotChart(options: ChartOptions, style: Style): string {
  const columns = chartColumns(style)
  const axis = roundAxis(options.yRange, options.rows)
  const cells = blankCells(options.rows, columns)
  for (const line of options.lines) drawLine(cells, line, axis)
  for (const point of options.points ?? []) drawPoint(cells, point, axis)
  const body = cells.map((row, index) => axisLabel(index, options.rows, axis) + joinCells(row, style))
  const [rule, labels] = plotXAxis(options.xTicks, columns)
  const left = ' '.repeat(GUTTER)
  const under = (options.underRows ?? []).map((row) => (left + row).trimEnd())
  return [...body, ' '.repeat(GUTTER - 1) + rule, ...under, (left + labels).trimEnd()].join('\n')
}

interface Cell {
  readonly glyph: string
  readonly ink: Ink
}

interface Axis {
  readonly low: number
  readonly high: number
  readonly step: number
  readonly decimals: number
}

/** The data's own bounds (zero kept as a bound), with round ticks inside: 1, 2 or 5 times a power of ten apart. */
function roundAxis([low, high]: readonly [number, number], rows: number): Axis {
  const span = Math.max(high - low, Math.abs(high) * 1e-6, 1e-9)
  const rough = span / Math.max(2, rows / 2)
  const step = roundStepAbove(rough)
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9))
  return { low: low === 0 ? 0 : low - span * 0.02, high: high + span * 0.02, step, decimals }
}

function blankCells(rows: number, columns: number): (Cell | undefined)[][] {
  return Array.from({ length: rows }, () => new Array<Cell | undefined>(columns).fill(undefined))
}

/** Row of a value, fractional, 0 at the top. */
function rowOf(value: number, rows: number, axis: Axis): number {
  return ((axis.high - value) / (axis.high - axis.low)) * (rows - 1)
}

function drawLine(cells: (Cell | undefined)[][], line: ChartLine, axis: Axis): void {
  for (const [start, values] of stretches(line.values)) drawStretch(cells, line, { start, values, axis })
}

function drawStretch(
  cells: (Cell | undefined)[][],
  line: ChartLine,
  stretch: { start: number; values: readonly number[]; axis: Axis },
): void {
  const rows = cells.length
  const heights = stretch.values.map((value) =>
    clamp(rows - 1 - rowOf(value, rows, stretch.axis), 0, rows - 1),
  )
  if (line.dotted) {
    heights.forEach((height, index) => {
      setCell(cells, rows - 1 - Math.round(height), stretch.start + index, { glyph: '·', ink: line.ink })
    })
    return
  }
  // asciichart draws n - 1 strokes for n values: the last value is repeated so that every column has one.
  const drawn = asciichart.plot([...heights, heights.at(-1) ?? 0], {
    height: rows - 1,
    min: 0,
    max: rows - 1,
    offset: 1,
    format: () => '',
  })
  drawn.split('\n').forEach((text, row) => {
    ;[...text].slice(1).forEach((glyph, column) => {
      if (glyph !== ' ') setCell(cells, row, stretch.start + column, { glyph, ink: line.ink })
    })
  })
}

function stretches(values: readonly (number | undefined)[]): [number, number[]][] {
  const found: [number, number[]][] = []
  let current: number[] | undefined
  values.forEach((value, column) => {
    if (value === undefined) {
      current = undefined
    } else if (current) {
      current.push(value)
    } else {
      current = [value]
      found.push([column, current])
    }
  })
  return found
}

function drawPoint(cells: (Cell | undefined)[][], point: ChartPoint, axis: Axis): void {
  const row = Math.round(rowOf(point.value, cells.length, axis))
  setCell(cells, row, point.column, { glyph: point.symbol, ink: point.ink })
}

function setCell(cells: (Cell | undefined)[][], row: number, column: number, cell: Cell): void {
  const target = cells[row]
  if (target && column >= 0 && column < target.length) target[column] = cell
}

/** Neighbours of one ink are coloured together, so that the output stays small. */
function joinCells(row: readonly (Cell | undefined)[], style: Style): string {
  let text = ''
  let run = ''
  let ink: Ink | undefined
  const flush = () => {
    text += ink ? inkText(run, ink, style) : run
    run = ''
  }
  for (const cell of trimEnd(row)) {
    if (cell?.ink !== ink) {
      flush()
      ink = cell?.ink
    }
    run += cell?.glyph ?? ' '
  }
  flush()
  return text
}

function trimEnd(row: readonly (Cell | undefined)[]): readonly (Cell | undefined)[] {
  const last = row.findLastIndex((cell) => cell !== undefined)
  return row.slice(0, last + 1)
}

/** The tick nearest to a row, when it is nearer to this row than to any other. */
function axisLabel(row: number, rows: number, axis: Axis): string {
  const value = axis.high - (row / (rows - 1)) * (axis.high - axis.low)
  const tick = Math.round(value / axis.step) * axis.step
  const inside = tick >= axis.low - 1e-9 && tick <= axis.high + 1e-9
  const nearest = inside && Math.round(rowOf(tick, rows, axis)) === row
  const text = nearest ? groupDigits(tick, axis.decimals).replaceAll(NO_BREAK, ' ') : ''
  return `${text.padStart(GUTTER - 2)} ${nearest ? '┤' : '│'}`
}

function plotXAxis(
  ticks: readonly { readonly column: number; readonly label: string }[],
  columns: number,
): [string, string] {
  const rule = new Array<string>(columns + 1).fill('─')
  rule[0] = '└'
  let labels = ''
  for (const tick of ticks) {
    if (tick.column < 0 || tick.column >= columns) continue
    const start = Math.min(
      Math.max(0, tick.column - Math.floor(tick.label.length / 2)),
      columns - tick.label.length,
    )
    if (labels.length > 0 && start < labels.length + 2) continue
    rule[tick.column + 1] = '┬'
    labels = labels.padEnd(start) + tick.label
  }
  return [rule.join(''), labels.replaceAll(NO_BREAK, ' ')]
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value))
}
