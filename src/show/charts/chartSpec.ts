import type { TopLevelSpec } from 'vega-lite'
import type { Chart, ChartFrame } from './chart.js'
import type { ChartTheme } from './chartTheme.js'

/** One layer or panel of a Vega-Lite specification; the compiler checks it, see `plotSvg`. */
export type ChartLayer = Readonly<Record<string, unknown>>

/** The font of every chart; where it is missing, the system's own sans-serif. */
export const CHART_FONT = "'Source Sans 3', 'Source Sans Pro', system-ui, sans-serif"

/** Pixels left of every plot, for the labels of y: equal everywhere, so that panels stand exactly under each other. */
export const Y_LABELS_PX = 46

/** Text size of labels, px. */
export const LABEL_PX = 14

/**
 * A whole specification from its body: title, padding, fonts and the quiet axes that all charts share.
 *
 * @param body - the layers or panels of the chart
 */
export function chartSpec(
  chart: Pick<Chart, 'title' | 'subtitle'>,
  frame: ChartFrame,
  body: ChartLayer,
): TopLevelSpec {
  const { theme } = frame
  return {
    $schema: 'https://vega.github.io/schema/vega-lite/v6.json',
    background: frame.titled ? theme.background : 'transparent',
    padding: frame.titled ? { left: 18, right: 18, top: 16, bottom: 14 } : 0,
    autosize: { type: 'pad' },
    ...(frame.titled ? { title: titleOf(chart, frame) } : {}),
    ...body,
    config: {
      font: CHART_FONT,
      aria: false,
      view: { stroke: null },
      axis: axisConfig(theme),
      concat: { spacing: 14 },
      text: { fontSize: LABEL_PX, color: theme.ink },
    },
  } as unknown as TopLevelSpec
}

function titleOf(chart: Pick<Chart, 'title' | 'subtitle'>, frame: ChartFrame): ChartLayer {
  const width = frame.widthPx - 40
  return {
    text: breakText(chart.title, width, 21 * 0.54),
    subtitle: breakText(chart.subtitle, width, 15 * 0.52),
    anchor: 'start',
    frame: 'bounds',
    fontSize: 21,
    lineHeight: 26,
    fontWeight: 600,
    color: frame.theme.ink,
    subtitleFontSize: 15,
    subtitleLineHeight: 20,
    subtitleColor: frame.theme.faint,
    subtitlePadding: 5,
    offset: 14,
  }
}

function breakText(text: string, widthPx: number, characterPx: number): string[] {
  const room = Math.max(12, Math.floor(widthPx / characterPx))
  const lines = fillLines(text, room)
  // The same number of lines, as even as they get: no word is left alone on the last.
  let even = room
  while (even > 12 && fillLines(text, even - 1).length === lines.length) even -= 1
  return fillLines(text, even)
}

function fillLines(text: string, room: number): string[] {
  const lines: string[] = []
  for (const word of text.replaceAll(' %', '\u00a0%').split(' ')) {
    const last = lines.at(-1)
    if (last !== undefined && last.length + 1 + word.length <= room)
      lines[lines.length - 1] = `${last} ${word}`
    else lines.push(word)
  }
  return lines
}

function axisConfig(theme: ChartTheme): ChartLayer {
  return {
    domain: false,
    ticks: false,
    grid: true,
    gridColor: theme.grid,
    labelColor: theme.faint,
    labelFontSize: LABEL_PX,
    labelPadding: 6,
    labelFlush: false,
    labelOverlap: false,
    title: null,
  }
}
