import { markdownTable } from 'markdown-table'
import type { DataTable } from './dataTable.js'

/** Tables in Markdown, numbers on the right; several are each headed by their title. */
export function markdownTables(tables: readonly DataTable[]): string {
  return tables
    .map((table) => (tables.length > 1 ? `**${inert(table.title)}**\n\n${markdown(table)}` : markdown(table)))
    .join('\n\n')
}

function markdown({ headings, rows, numeric }: DataTable): string {
  const text = [headings, ...rows].map((row) => row.map((cell) => inert(String(cell))))
  return markdownTable(text, { align: numeric.map((isNumber) => (isNumber ? 'r' : 'l')) })
}

/** Names come from files: what Markdown or a page would take for markup stands as it is written. */
function inert(text: string): string {
  return text
    .replace(/[\r\n]+/g, ' ')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/[\\`*_[\]!~]/g, (mark) => `\\${mark}`)
}
