/// <reference lib="dom" />
import { transforms } from 'vega-dataflow'
import { axisticks, datajoin, encode, scale, sortitems } from 'vega-encode'
import { expressionInterpreter } from 'vega-interpreter'
import { collect, extent, filter, multiextent, proxy, relay, sieve } from 'vega-transforms'
import { View } from 'vega-view'
import { bound, mark, overlap, render, viewlayout } from 'vega-view-transforms'
import type { Projection } from '../../../predict/projection/projection.js'
import { whatIfDataSets } from '../../charts/whatIfDataSets.js'

/** The chart in the page: shows other traces whenever it is told. */
export interface LiveChart {
  readonly show: (projected: Projection['trace'], tested: Projection['trace']) => void
}

/**
 * Runs a compiled chart in an element.
 *
 * Only the parts of the renderer that the chart needs are registered, which halves the script; the specification was
 * compiled when the page was made.
 */
export async function drawLiveChart(container: HTMLElement, compiled: object): Promise<LiveChart> {
  Object.assign(transforms, NEEDED)
  const view = new View(compiled, { renderer: 'svg', container, expr: expressionInterpreter, hover: false })
  await view.runAsync()
  return {
    show: (projected, tested) => {
      view.data(whatIfDataSets.projected, rowsOf(projected))
      view.data(whatIfDataSets.tested, rowsOf(tested))
      view.data(whatIfDataSets.labels, labelsOf(projected, tested))
      void view.runAsync()
    },
  }
}

/** What the compiled chart is made of; a test opens the page to see that nothing is missing. */
const NEEDED = {
  ...{ axisticks, datajoin, encode, scale, sortitems },
  ...{ collect, extent, filter, multiextent, proxy, relay, sieve },
  ...{ bound, mark, overlap, render, viewlayout },
}

function rowsOf(trace: Projection['trace']) {
  return trace.timesS.map((time, order) => ({ x: time / 60, y: trace.powerW[order], order }))
}

function labelsOf(projected: Projection['trace'], tested: Projection['trace']) {
  const level = (trace: Projection['trace']) =>
    Math.max(...trace.powerW.slice(-Math.ceil(trace.powerW.length / 10)))
  const [upper, lower] = [level(projected), level(tested)]
  if (Math.abs(upper - lower) < 0.5) return [label(projected, upper, 'fitted to the test', 'var(--faint)')]
  return [
    label(projected, upper, 'projected', 'var(--limit-text)'),
    label(tested, lower, 'fitted to the test', 'var(--faint)'),
  ]
}

function label(trace: Projection['trace'], y: number, text: string, colour: string) {
  return { x: (trace.timesS.at(-1) ?? 0) / 60, y, text, colour }
}
