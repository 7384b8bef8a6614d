import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Caution } from '../../predict/projection/caution.js'
import { sayScore } from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { sayCautions } from '../text/sayCaution.js'
import { gapPercent } from '../text/sayGapText.js'
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
  readonly cautions: readonly Caution[]
}

/** The gap as bars, the paragraph that explains it, and the cautions by themselves. */
export function sayGap(gap: GapView, style: Style): string {
  const bars = [...gap.parts, { name: 'the whole gap', percent: gapPercent(gap), total: true }]
  return [
    inkText(`${gap.a} against ${gap.b}: ${sayScore(gap.ratio)} times the steady score`, 'strong', style),
    plotParts(bars, style),
    wrapText(
      'Each part is the gap that this cause alone would make; the parts multiply to the whole. Intervals hold the true value in 90 % of cases.',
      style.width,
      2,
    ),
    wrapText(gap.text, style.width, 2),
    ...(gap.cautions.length === 0 ? [] : [wrapText(sayCautions(gap.cautions), style.width, 2)]),
  ].join('\n\n')
}
