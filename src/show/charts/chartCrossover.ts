import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayEstimate, sayValue } from '../figures/sayEstimate.js'
import { type ChartPanel, labelLayers, xPixel } from './chartPanel.js'
import { type ChartLayer, LABEL_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import type { ChartTheme } from './chartTheme.js'

/** The power at which two chips are level: its interval as a band, its value as a line. */
export function crossoverBand(power: Estimate, panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const [y, y2] = panel.yRange
  if (!isInside(power, panel)) return []
  const x = Math.max(power.low, panel.xRange[0])
  const x2 = Math.min(power.high, panel.xRange[1])
  return [
    {
      data: { values: [{ x, x2, y, y2 }] },
      mark: { type: 'rect', color: theme.grid, opacity: 0.7 },
      encoding: { x2: { field: 'x2' }, y2: { field: 'y2' } },
    },
    {
      data: { values: [{ x: power.value, y, y2 }] },
      mark: { type: 'rule', color: theme.ink, strokeWidth: 1, strokeDash: [2, 3] },
      encoding: { y2: { field: 'y2' } },
    },
  ]
}

/** What a crossover's band means, in words beside it. */
export function crossoverLabel(
  power: Estimate,
  panel: ChartPanel,
  theme: ChartTheme,
  narrow: boolean,
): ChartLayer[] {
  if (!isInside(power, panel)) return []
  const text = narrow ? `level at ${sayValue(power, 'W')}` : `level at ${sayEstimate(power, 'W')}`
  const widthPx = chartTextWidth(text, LABEL_PX) + 8
  const [low, high] = [Math.max(power.low, panel.xRange[0]), Math.min(power.high, panel.xRange[1])]
  const fitsRight = xPixel(panel, high) + widthPx <= panel.widthPx
  const fitsLeft = xPixel(panel, low) >= widthPx
  // Beside the band where there is room, else beside the line inside it.
  const x = fitsRight ? high : fitsLeft ? low : power.value
  const toLeft = !fitsRight && (fitsLeft || xPixel(panel, x) + widthPx > panel.widthPx)
  return labelLayers([{ x, y: panel.yRange[1], text, colour: theme.ink }], theme, {
    align: toLeft ? 'right' : 'left',
    baseline: 'top',
    dx: toLeft ? -6 : 6,
    dy: 2,
  })
}

function isInside(power: Estimate, panel: ChartPanel): boolean {
  return power.value >= panel.xRange[0] && power.value <= panel.xRange[1]
}
