import type { Chart } from '../charts/chart.js'
import { PAGE_THEME } from '../charts/chartTheme.js'
import { plotSvg } from '../charts/plotSvg.js'
import { type Html, html, trustedHtml } from '../figures/html.js'
import { pageTable } from './pageTable.js'

/** Logical widths of a chart in the page, px: the text column, and a small phone's screen without its margins. */
const WIDE_PX = 860
const NARROW_PX = 330

/**
 * A chart as a figure: headline, what is drawn, the picture (drawn once for wide and once for narrow screens; the style
 * sheet shows one), and its numbers as a table that opens.
 *
 * For a screen reader the picture is one image whose label is the chart's text equivalent.
 */
export async function pageFigure(
  chart: Chart,
  { heading }: { /** Null where the page says it elsewhere. */ readonly heading?: null } = {},
): Promise<Html> {
  const [wide, narrow] = await Promise.all(
    [WIDE_PX, NARROW_PX].map((widthPx) => plotSvg(chart, { widthPx, theme: PAGE_THEME, titled: false })),
  )
  const notes = chart.notes ?? []
  return html`<figure id="${chart.name}">
<figcaption>${heading === null ? null : html`<h3>${chart.title}</h3>`}<p class="faint">${chart.subtitle}.</p></figcaption>
<div class="chart" role="img" aria-label="${chart.summary}">
<div class="wide">${trustedHtml(wide!)}</div><div class="narrow">${trustedHtml(narrow!)}</div>
</div>
${notes.length === 0 ? null : html`<ul class="narrow notes">${notes.map((note) => html`<li>${note}</li>`)}</ul>`}
<details><summary>The numbers of this chart, and its text for screen readers</summary><p class="faint">${chart.summary}</p>${pageTable(chart.table, chart.title)}</details>
</figure>`
}
