import { roundTicks } from '../../numeric/roundTicks.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { type FigureKind, groupDigits, NO_BREAK } from '../figures/digits.js'
import { sayEstimate } from '../figures/sayEstimate.js'
import { shortenName } from '../figures/shorten.js'
import { type Ink, inkText, type Style } from './style.js'

/** One line of the plot. */
export interface IntervalRow {
  readonly name: string
  /** Undefined when there is no figure: then the note says why. */
  readonly estimate: Estimate | undefined
  /** Set behind the figure. */
  readonly note: string
  readonly ink: Ink
}

/**
 * Estimates under each other on one scale, each with its name, its interval as a bar, its figure and a note:
 *
 *   Heron slim      ●                44.21 (44.18 to 44.23)  power limit
 *
 * The scale runs from the least to the greatest bound, not from zero: what is compared are places, not lengths.
 */
export function plotIntervals(
  rows: readonly IntervalRow[],
  { unit, kind }: { readonly unit: string; readonly kind: FigureKind },
  style: Style,
): string {
  const figures = rows.map(({ estimate }) => (estimate ? plain(sayEstimate(estimate, '', kind)) : '–'))
  const nameWidth = Math.min(LONGEST_NAME, Math.max(...rows.map((row) => row.name.length)))
  const figureWidth = Math.max(...figures.map((figure) => figure.length))
  const noteWidth = Math.max(...rows.map((row) => row.note.length))
  const columns = Math.max(10, Math.min(style.width, 120) - nameWidth - figureWidth - noteWidth - GAPS)
  const bounds = rows.flatMap(({ estimate }) => (estimate ? [estimate.low, estimate.high] : []))
  const range: readonly [number, number] = [Math.min(...bounds), Math.max(...bounds)]
  const lines = rows.map((row, index) => {
    const bar = inkText(drawBar(row.estimate, range, columns), row.ink, style)
    const name = shortenName(row.name, nameWidth).padEnd(nameWidth)
    return `  ${name}  ${bar}  ${figures[index]!.padEnd(figureWidth)}  ${row.note}`.trimEnd()
  })
  if (bounds.length === 0) return lines.join('\n')
  const indent = ' '.repeat(nameWidth + 4)
  return [...lines, ...drawAxis(range, columns, unit).map((line) => `${indent}${line}`.trimEnd())].join('\n')
}

const LONGEST_NAME = 20
/** Two before the name, and two between name, bar, figure and note. */
const GAPS = 8

function drawBar(estimate: Estimate | undefined, range: readonly [number, number], columns: number): string {
  if (estimate === undefined) return ' '.repeat(columns)
  const [low, at, high] = [estimate.low, estimate.value, estimate.high].map((x) =>
    columnOf(x, range, columns),
  )
  return Array.from({ length: columns }, (_, column) => {
    if (column === at) return '●'
    if (column < low! || column > high!) return ' '
    return column === low ? '├' : column === high ? '┤' : '─'
  }).join('')
}

/** A line with a mark at round values, and the values below; the last one carries the unit. */
function drawAxis(range: readonly [number, number], columns: number, unit: string): readonly string[] {
  const room = groupDigits(range[1], 0).length + unit.length + 2
  const ticks = roundTicks(range[0], range[1], Math.max(1, Math.floor(columns / room)))
  const marks = Array.from({ length: columns }, () => '─')
  let labels = ''
  ticks.forEach((tick, index) => {
    const column = columnOf(tick, range, columns)
    marks[column] = '┬'
    const digits = groupDigits(tick, tick % 1 === 0 ? 0 : 2)
    const label = plain(index === ticks.length - 1 ? `${digits}${NO_BREAK}${unit}` : digits)
    if (column >= labels.length + (labels === '' ? 0 : 1)) labels = labels.padEnd(column) + label
  })
  return [marks.join(''), labels]
}

function columnOf(x: number, [low, high]: readonly [number, number], columns: number): number {
  return high === low ? Math.floor(columns / 2) : Math.round(((x - low) / (high - low)) * (columns - 1))
}

function plain(text: string): string {
  return text.replaceAll(NO_BREAK, ' ')
}
