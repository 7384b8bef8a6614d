import Table from 'cli-table3'
import stringWidth from 'fast-string-width'
import { NO_BREAK } from '../figures/digits.js'
import { inkText, type Style } from './style.js'

/** One column of a table: its heading and on which side its cells line up. */
export interface TableColumn {
  readonly heading: string
  readonly align?: 'left' | 'right'
}

/**
 * Rows of text as an aligned table without rules, two spaces between columns, indented by two. Where it is wider than the terminal,
 * intervals stand below their figures; where that is not enough, long cells are broken at words.
 */
export function plotTable(
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
  style: Style,
): string {
  const room = style.width - INDENT.length - GAP.length * (columns.length - 1)
  const asGiven = widthsOf(columns, rows)
  if (sum(asGiven) <= room) return drawTable(columns, rows, asGiven, style)
  const stacked = rows.map((row) => row.map((cell) => cell.replaceAll(' (', '\n(')))
  return drawTable(columns, stacked, shrunk(columns, stacked, room), style)
}

const INDENT = '  '
const GAP = '  '
/** A column narrower than this reads as a column of syllables. */
const LEAST_WIDTH = 6

function widthsOf(columns: readonly TableColumn[], rows: readonly (readonly string[])[]): readonly number[] {
  return columns.map(({ heading }, index) =>
    Math.max(
      ...[heading, ...rows.map((row) => row[index] ?? '')].flatMap((cell) =>
        cell.split('\n').map((line) => stringWidth(line)),
      ),
    ),
  )
}

/** What a column can't be narrower than without breaking a word or an interval. */
function wholeWidth(column: TableColumn, cells: readonly string[]): number {
  const pieces = [column.heading, ...cells]
    .flatMap((cell) => cell.split('\n'))
    .flatMap((line) => (column.align === 'right' || line.startsWith('(') ? [line] : line.split(' ')))
  return Math.max(...pieces.map((piece) => stringWidth(piece)))
}

/** The widest column gives way first, until all fit or none can give more: at words, then words before figures. */
function shrunk(
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
  room: number,
): readonly number[] {
  const widths = [...widthsOf(columns, rows)]
  const whole = columns.map((column, index) =>
    wholeWidth(
      column,
      rows.map((row) => row[index] ?? ''),
    ),
  )
  while (sum(widths) > room) {
    const loose = widths.flatMap((width, index) => (width > whole[index]! ? [{ width, index }] : []))
    if (loose.length > 0) {
      const [widest] = loose.sort((a, b) => b.width - a.width)
      widths[widest!.index]! -= 1
      continue
    }
    const able = widths.flatMap((width, index) => (width > LEAST_WIDTH ? [{ width, index }] : []))
    const words = able.filter(
      ({ width, index }) => columns[index]!.align !== 'right' && width > 2 * LEAST_WIDTH,
    )
    const [widest] = (words.length > 0 ? words : able).sort((a, b) => b.width - a.width)
    if (widest === undefined) break
    widths[widest.index]! -= 1
  }
  return widths
}

function drawTable(
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
  widths: readonly number[],
  style: Style,
): string {
  const table = new Table({
    head: columns.map((column) => column.heading),
    colAligns: columns.map((column) => column.align ?? 'left'),
    colWidths: [...widths],
    wordWrap: true,
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
    chars: { ...NO_RULES, middle: GAP },
  })
  for (const row of rows) table.push([...row])
  const lines = table.toString().split('\n')
  return lines
    .map((line, index) => {
      const plain = `${INDENT}${line.replaceAll(NO_BREAK, ' ').trimEnd()}`
      return index === 0 ? inkText(plain, 'faint', style) : plain
    })
    .join('\n')
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0)
}

const NO_RULES = Object.fromEntries(
  [
    'top',
    'top-mid',
    'top-left',
    'top-right',
    'bottom',
    'bottom-mid',
    'bottom-left',
    'bottom-right',
    'left',
    'left-mid',
    'mid',
    'mid-mid',
    'right',
    'right-mid',
  ].map((name) => [name, '']),
)
