import { expressionInterpreter } from 'vega-interpreter'
import type { Chart } from '../../show/charts/chart.js'
import { PAGE_THEME } from '../../show/charts/chartTheme.js'
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

/** A chart as SVG whose colours are those of the page. */
function drawChart(chart: Chart, widthPx: number): Promise<string> {
  const frame = { widthPx, theme: PAGE_THEME, titled: false }
  return plotSvg(chart, frame, { interpreter: expressionInterpreter })
}
