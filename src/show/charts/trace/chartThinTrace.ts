import type { ChartPanel } from '../chartPanel.js'

/**
 * A long series with no more points than can be seen: of every column of pixels the least and the greatest value, in
 * their order of time. Samples without a value (NaN) are left out.
 */
export function thinTrace(
  series: { readonly timesS: ArrayLike<number>; readonly values: ArrayLike<number> },
  panel: Pick<ChartPanel, 'xRange' | 'widthPx'>,
): { x: number; y: number }[] {
  const perPixel = panel.widthPx / COLUMN_PX / (panel.xRange[1] - panel.xRange[0])
  const points: { x: number; y: number }[] = []
  let column: PixelColumn | undefined
  for (let index = 0; index < series.timesS.length; index++) {
    const point = { x: series.timesS[index]!, y: series.values[index]! }
    if (!Number.isFinite(point.y) || point.x < panel.xRange[0] || point.x > panel.xRange[1]) continue
    const pixel = Math.floor((point.x - panel.xRange[0]) * perPixel)
    if (column?.pixel === pixel) {
      if (point.y < column.least.y) column.least = point
      if (point.y > column.greatest.y) column.greatest = point
      continue
    }
    if (column) points.push(...inOrder(column))
    column = { pixel, least: point, greatest: point }
  }
  if (column) points.push(...inOrder(column))
  return points
}

/** Columns as wide as a thin line: finer ones would draw over each other. */
const COLUMN_PX = 1.5

interface PixelColumn {
  readonly pixel: number
  least: { x: number; y: number }
  greatest: { x: number; y: number }
}

function inOrder({ least, greatest }: PixelColumn): { x: number; y: number }[] {
  if (least === greatest) return [least]
  return least.x < greatest.x ? [least, greatest] : [greatest, least]
}
