import { expressionInterpreter } from 'vega-interpreter'
import type { TopLevelSpec } from 'vega-lite'
import type { Chart, ChartFrame } from './chart.js'
import { CHART_FONT } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import { loadDrawing } from './loadDrawing.js'

/**
 * Draws a chart as SVG text.
 *
 * Charts are Vega-Lite specifications, compiled and drawn by Vega without a browser; the page's live chart is the
 * same kind of specification run by the same renderer. Chosen because nothing else alive draws one specification both
 * in Node and in a page without a document object: other grammars need a DOM, and imperative chart libraries have no
 * specification to share.
 *
 * Numbers in attributes are rounded to a tenth of a pixel: smaller files, and golden files that do not change with the
 * last bit of a logarithm.
 *
 * @param options.pixelWidth - width attribute of the picture, px; the logical width when left out
 * @throws Error when the specification is not valid (a fault of the tool, not of the input)
 */
export async function plotSvg(
  chart: Chart,
  frame: ChartFrame,
  options: { readonly pixelWidth?: number } = {},
): Promise<string> {
  const vega = await loadDrawing(() => import('vega'))
  measureTextWithoutBrowser(vega)
  const specification = await compileChart(chart.specify(frame))
  // Interpreted, not compiled: pages that draw forbid that code is made of text.
  const view = new vega.View(vega.parse(specification, undefined, { ast: true }), {
    renderer: 'none',
    expr: expressionInterpreter,
  })
  const drawn = await view.toSVG()
  view.finalize()
  return framed(
    tidySvg(renameClips(drawn, `${chart.name}-${frame.widthPx}`)),
    chart,
    frame,
    options.pixelWidth,
  )
}

/** Vega-Lite to Vega; whatever the compiler would only warn of is an error here. */
export async function compileChart(specification: object) {
  const { compile } = await loadDrawing(() => import('vega-lite'))
  const complain = (...words: readonly unknown[]) => {
    throw new Error(`invalid chart specification: ${words.join(' ')}`)
  }
  const silent = () => logger
  const logger = { level: () => 0, error: complain, warn: complain, info: silent, debug: silent }
  return compile(specification as TopLevelSpec, { logger: logger as never }).spec
}

/** By this attribute of its root a picture is known as made by this tool. */
export const MADE_BY = 'data-made-by="holdwatt"'

interface TextMetrics {
  width: (item: { readonly fontSize?: number; readonly fontWeight?: unknown }, text: unknown) => number
}

/** Vega guesses 0.8 em a character where it has no canvas, which leaves holes around every label. */
function measureTextWithoutBrowser(vega: object): void {
  const { textMetrics } = vega as { readonly textMetrics: TextMetrics }
  textMetrics.width = (item, text) =>
    chartTextWidth(String(text ?? ''), item.fontSize ?? 11, item.fontWeight === 600)
}

/**
 * The renderer numbers clip paths through the whole process; here they count from 1 in each drawing, under its own
 * name, so that drawings are the same whenever they are made and stand together in one page.
 */
function renameClips(svg: string, name: string): string {
  const ids = new Map<string, string>()
  return svg.replace(/(id="|url\(#)(clip\d+)/g, (_, before: string, id: string) => {
    if (!ids.has(id)) ids.set(id, `${name}-clip${ids.size + 1}`)
    return `${before}${ids.get(id)}`
  })
}

/** Drops what XML forbids (the renderer lets it through), rounds coordinates, and says once at the root what every text would repeat. */
function tidySvg(svg: string): string {
  return svg.replace(FORBIDDEN, '\ufffd').replace(/<[^>]*>/g, (tag) =>
    tag
      .replace(/ class="[^"]*"/g, '')
      .replace(/ (font-family|role|aria-[a-z]+)="[^"]*"/g, '')
      .replace(/ stroke-miterlimit="10"/g, '')
      .replace(/(?<!opacity=")-?\d+\.\d+(e-?\d+)?/g, (number) => String(Number(Number(number).toFixed(1)))),
  )
}

function framed(svg: string, chart: Chart, frame: ChartFrame, pixelWidth: number | undefined): string {
  const [, width, height] = /viewBox="0 0 (\S+) (\S+)"/.exec(svg)!
  const logicalWidth = Math.max(Number(width), frame.widthPx)
  const scale = (pixelWidth ?? logicalWidth) / logicalWidth
  const size = `width="${round(logicalWidth * scale)}" height="${round(Number(height) * scale)}"`
  const root = `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" ${size} viewBox="0 0 ${logicalWidth} ${height}" font-family="${CHART_FONT}"`
  const body = svg.replace(/^<svg[^>]*>/, '')
  if (!frame.titled) return `${root} aria-hidden="true" focusable="false">${body}`
  const words = `<title>${escapeXml(chart.title)}</title><desc>${escapeXml(chart.summary)}</desc>`
  return `${root} role="img" ${MADE_BY}>${words}${body}`.replace(
    /(<rect[^>]*?) width="[^"]*"/,
    `$1 width="${logicalWidth}"`,
  )
}

/** Text as XML text or attribute: characters that XML forbids are replaced, the five special ones escaped. */
function escapeXml(text: string): string {
  return text
    .replace(FORBIDDEN, '\ufffd')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}

/** What XML 1.0 forbids (section 2.2, Char): control characters, lone surrogates, U+FFFE and U+FFFF. */
const FORBIDDEN = /[^\P{Cc}\t\n\r]|\p{Cs}|[\ufffe\uffff]/gu

function round(value: number): number {
  return Math.round(value * 10) / 10
}
