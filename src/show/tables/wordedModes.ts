import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { ModeMean } from '../../predict/review/modeMeans.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import { sayEstimate } from '../figures/sayEstimate.js'
import { modePrefix } from '../text/sayReviewText.js'
import { sayMean } from './wordedPairs.js'
import { nameAlone, type WordedTable } from './wordedTable.js'

/** The speed of machines in a power mode, in percent of their first mode: a table for every two modes, with the mean over workloads. */
export function wordedModes(review: Review): readonly WordedTable[] {
  const keys = [...new Set(review.modes.map(keyOf))]
  return keys.map((key) =>
    tableOf(
      review.modes.filter((mean) => keyOf(mean) === key),
      review,
    ),
  )
}

function keyOf({ mode, against }: ModeMean): string {
  return JSON.stringify([mode, against])
}

function tableOf(means: readonly ModeMean[], { results }: Review): WordedTable {
  const [{ mode, against } = { mode: null, against: null }] = means
  const found = (mean: ModeMean, { workload, metric }: Review['results'][number]) =>
    mean.results.find((of) => of.workload === workload && of.metric === metric)
  const rows = results.filter(
    (result, index) =>
      means.some((mean) => found(mean, result)) &&
      results.findIndex((of) => of.workload === result.workload && of.metric === result.metric) === index,
  )
  const counted = rows.filter(({ inMeans }) => inMeans)
  return {
    title: `${modePrefix(mode ?? 'unnamed mode')}speed, in % of that in ${against ?? 'unnamed mode'}`,
    columns: [{ heading: 'workload' }, ...means.map(({ machine }) => ({ heading: machine }))],
    rows: [
      ...rows.map((result) => [
        nameAlone(result),
        ...means.map((mean) => sayShare(found(mean, result)?.ratio)),
      ]),
      [sayMean(counted.length), ...means.map(({ ratio }) => sayShare(ratio))],
    ],
  }
}

function sayShare(ratio: Estimate | undefined): string {
  if (ratio === undefined) return '–'
  const percent = { ...ratio, value: 100 * ratio.value, low: 100 * ratio.low, high: 100 * ratio.high }
  return sayEstimate(percent, '', 'percent')
}
