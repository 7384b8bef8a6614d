import Table from 'cli-table3'
import { NO_BREAK } from '../text/digits.js'
import { inkText, type Style } from './style.js'

/** One column of a table: its heading and on which side its cells line up. */
export interface TableColumn {
  readonly heading: string
  readonly align?: 'left' | 'right'
}

/** Rows of text as an aligned table without rules, two spaces between columns, indented by two. */
export function plotTable(
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
  style: Style,
): string {
  const table = new Table({
    head: columns.map((column) => column.heading),
    colAligns: columns.map((column) => column.align ?? 'left'),
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0 },
    chars: { ...NO_RULES, middle: '  ' },
  })
  for (const row of rows) table.push([...row])
  const lines = table.toString().split('\n')
  return lines
    .map((line, index) => {
      const plain = `  ${line.replaceAll(NO_BREAK, ' ').trimEnd()}`
      return index === 0 ? inkText(plain, 'faint', style) : plain
    })
    .join('\n')
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
