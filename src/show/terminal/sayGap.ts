import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayEstimate } from '../text/sayEstimate.js'
import { wrapText } from '../text/wrapText.js'
import { plotParts } from './plotParts.js'
import { inkText, type Style } from './style.js'

/** What `explain` shows of the gap between two machines. */
export interface GapView {
  readonly a: string
  readonly b: string
  readonly ratio: Estimate
  readonly parts: readonly {
    readonly name: string
    readonly logRatio: Estimate
    readonly percent: Estimate
  }[]
  readonly text: string
}

/** The gap as bars that add up, then the paragraph. */
export function sayGap(gap: GapView, style: Style): string {
  const whole = {
    value: 100 * (gap.ratio.value - 1),
    low: 100 * (gap.ratio.low - 1),
    high: 100 * (gap.ratio.high - 1),
    level: gap.ratio.level,
  }
  const bars = [...gap.parts, { name: 'the whole gap', percent: whole, total: true }]
  return [
    inkText(`${gap.a} against ${gap.b}: steady score ${sayEstimate(gap.ratio)} times`, 'strong', style),
    plotParts(bars, style),
    wrapText(
      'Parts multiply up to the whole: each says what the gap would be if only that part differed.',
      style.width,
      2,
    ),
    wrapText(gap.text, style.width, 2),
  ].join('\n\n')
}
