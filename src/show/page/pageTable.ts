import type { ChartTable } from '../charts/chart.js'
import { type Html, type HtmlPart, html } from '../figures/html.js'

/**
 * A table whose first column heads the rows; cells that are figures stand on the right. It scrolls by itself when it is
 * wider than the screen, and then takes the keyboard's focus so that it can be scrolled without a mouse.
 *
 * @param sayCell - a cell as markup; as it is when left out
 */
export function pageTable(
  table: ChartTable,
  caption: string,
  sayCell: (cell: string) => HtmlPart = (cell) => cell,
): Html {
  const figures = table.columns.map((_, column) => table.rows.every((row) => isFigure(row[column] ?? '')))
  const cells = (row: readonly string[]) =>
    row.slice(1).map((cell, index) => html`<td${numberClass(figures[index + 1]!)}>${sayCell(cell)}</td>`)
  return html`<div class="scroll" tabindex="0" role="region" aria-label="Table: ${caption}">
<table><caption class="hidden">${caption}</caption>
<thead><tr>${table.columns.map((name, index) => html`<th scope="col"${numberClass(figures[index]!)}>${name}</th>`)}</tr></thead>
<tbody>${table.rows.map(
    (
      row,
    ) => html`<tr><th scope="row"${numberClass(figures[0]!)}>${sayCell(row[0] ?? '')}</th>${cells(row)}</tr>
`,
  )}</tbody></table></div>`
}

function numberClass(isNumber: boolean): Html {
  return isNumber ? html` class="number"` : html``
}

/** Short and beginning with a digit, or a stand-in for what is not known. */
function isFigure(cell: string): boolean {
  const [text = ''] = cell.split('\n')
  return (text.length < 32 && /^[−+-]?\d/.test(text)) || /^[–-]?$|^unknown$/.test(text)
}
