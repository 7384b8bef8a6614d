import { type Html, html } from '../figures/html.js'
import type { DataTable } from './dataTable.js'

/** Tables as a fragment of HTML without style or script, to paste into an article. */
export function htmlTables(tables: readonly DataTable[]): string {
  return tables.map((table) => htmlTable(table).markup).join('\n')
}

function htmlTable({ title, headings, rows, numeric }: DataTable): Html {
  const heads = headings.map((heading, index) =>
    numeric[index] ? html`<th align="right">${heading}</th>` : html`<th>${heading}</th>`,
  )
  const lines = rows.map((row) => {
    const cells = row.map((value, index) =>
      numeric[index] ? html`<td align="right">${value}</td>` : html`<td>${value}</td>`,
    )
    return html`<tr>${cells}</tr>\n`
  })
  return html`<table>\n<caption>${title}</caption>\n<thead><tr>${heads}</tr></thead>\n<tbody>\n${lines}</tbody>\n</table>`
}
