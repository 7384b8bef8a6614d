import type { Trace } from '../../log/trace.js'
import type { Chart } from '../../show/charts/chart.js'
import { DARK_THEME, LIGHT_THEME, PAGE_THEME } from '../../show/charts/chartTheme.js'
import { plotSvg } from '../../show/charts/plotSvg.js'
import { traceChart } from '../../show/charts/trace/chartTrace.js'
import type { LogFile } from './logFile.js'
import type { LogShelf } from './logShelf.js'

/** The trace of a log with its loads and stages, for the page that it stands in. */
export async function drawTrace(
  log: LogFile,
  view: { readonly widthPx: number; readonly windowS: readonly [number, number] | null },
  shelf: LogShelf,
): Promise<string> {
  const { log: parsed, loads } = await shelf.read(log)
  const chart = traceChart({
    name: `trace-${log.id}`,
    machine: log.name,
    title: log.name,
    trace: parsed.trace,
    loads,
    scoredRuns: [],
    scoreUnit: '',
    ceilingC: null,
    ...(view.windowS === null ? {} : { windowS: view.windowS }),
  })
  return drawChart(chart, view.widthPx)
}

/** The power of a log whose loads are not known yet. */
export function drawBare(log: LogFile, trace: Trace): Promise<string> {
  const words = { name: `bare-${log.id}`, machine: log.name, title: log.name }
  const chart = traceChart({ ...words, trace, loads: [], scoredRuns: [], scoreUnit: '', ceilingC: null })
  return drawChart(chart, BARE_PX)
}

/** It is stretched to the width of the page. */
const BARE_PX = 1100

/**
 * A chart as SVG: for the page, whose colours it takes, or with its title and colours of its own.
 */
export function drawChart(
  chart: Chart,
  widthPx: number,
  form: 'page' | 'light' | 'dark' = 'page',
): Promise<string> {
  const theme = { page: PAGE_THEME, light: LIGHT_THEME, dark: DARK_THEME }[form]
  const frame = { widthPx, theme, titled: form !== 'page' }
  return plotSvg(chart, frame)
}
