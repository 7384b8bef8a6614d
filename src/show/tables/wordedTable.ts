import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { ReviewResult } from '../../predict/review/reviewResults.js'
import { sayEstimate } from '../figures/sayEstimate.js'

/** A table for people: figures with their intervals in words, the same on the terminal and in the page. */
export interface WordedTable {
  readonly title: string
  readonly columns: readonly { readonly heading: string; readonly align?: 'left' | 'right' }[]
  readonly rows: readonly (readonly string[])[]
  /** What marks in the cells mean. */
  readonly note?: string
}

/** A workload by its name, and by its metric where that is not its first. */
export function nameAlone({
  workload,
  metric,
  inMeans,
}: Pick<ReviewResult, 'workload' | 'metric' | 'inMeans'>): string {
  return inMeans ? workload : `${workload}: ${metric}`
}

/** A difference in percent with its interval; what is more has a sign. */
export function signedPercent(percent: Estimate): string {
  const text = sayEstimate(percent, '', 'percent')
  return percent.value > 0 && !/^0(\.0+)?( |$)/.test(text) ? `+${text}` : text
}
