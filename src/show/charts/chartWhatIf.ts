import type { TopLevelSpec } from 'vega-lite'
import { type ChartLayer, chartSpec, LABEL_PX } from './chartSpec.js'
import { PAGE_THEME } from './chartTheme.js'
import { whatIfDataSets } from './whatIfDataSets.js'

/**
 * The live chart of the what-if: projected power of the supposed chassis over that of the chassis as tested.
 *
 * Specified like every other chart but drawn in the page: the same renderer, with its interpreter of expressions instead
 * of compiled code, since the page's content-security policy forbids `eval`. As wide as its container.
 */
export function whatIfSpec(): TopLevelSpec {
  const theme = PAGE_THEME
  const x = {
    field: 'x',
    type: 'quantitative',
    scale: { nice: false, zero: true },
    axis: {
      grid: false,
      tickCount: 6,
      labelExpr: "datum.label + (datum.index === 1 ? ' min' : '')",
      labelOverlap: true,
    },
  }
  const y = {
    field: 'y',
    type: 'quantitative',
    scale: { zero: true, nice: true },
    axis: { tickCount: 5, title: null },
  }
  const line = (name: string, mark: ChartLayer): ChartLayer => ({
    data: { name },
    mark: { type: 'line', interpolate: 'linear', strokeJoin: 'round', ...mark },
    encoding: { order: { field: 'order', type: 'quantitative' } },
  })
  const text = {
    type: 'text',
    align: 'right',
    baseline: 'bottom',
    dy: -6,
    fontSize: LABEL_PX,
    fontWeight: 600,
  }
  const halo = { stroke: theme.background, strokeWidth: 4, strokeJoin: 'round', fill: theme.background }
  const words = { field: 'text', type: 'nominal' }
  const data = { name: whatIfDataSets.labels }
  return chartSpec(
    { title: '', subtitle: '' },
    { widthPx: 0, theme, titled: false },
    {
      width: 'container',
      height: 200,
      autosize: { type: 'fit-x', contains: 'padding' },
      padding: { left: 0, right: 6, top: 6, bottom: 0 },
      encoding: { x, y },
      layer: [
        line(whatIfDataSets.tested, { color: theme.raw, strokeWidth: 2 }),
        line(whatIfDataSets.projected, { color: theme.limit, strokeWidth: 2.5 }),
        { data, mark: { ...text, ...halo }, encoding: { text: words } },
        {
          data,
          mark: text,
          encoding: { text: words, color: { field: 'colour', type: 'nominal', scale: null } },
        },
      ],
    },
  )
}
