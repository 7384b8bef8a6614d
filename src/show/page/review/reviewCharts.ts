import type { PairMean } from '../../../predict/review/pairMeans.js'
import type { Review } from '../../../predict/review/reviewMachines.js'
import type { Chart } from '../../charts/chart.js'
import { reviewChart } from '../../charts/chartReview.js'
import type { ReviewChartRow } from '../../charts/chartReviewLayout.js'
import { MACHINE_COLOURS } from '../../charts/chartTheme.js'
import { uniqueName } from '../../charts/uniqueName.js'
import {
  type PairedResult,
  type PairOfMode,
  pairedResults,
  pairsOf,
  sayMean,
  wordedPair,
} from '../../tables/wordedPairs.js'
import { nameAlone, signedPercent } from '../../tables/wordedTable.js'
import { headlineOfPair } from '../../text/reviewHeadline.js'
import { modePrefix, percentOf } from '../../text/sayReviewText.js'

/** A chart for each pair of machines in each power mode, in the order of `pairsOf`. */
export function reviewCharts(review: Review): readonly Chart[] {
  const names = new Set<string>()
  return pairsOf(review).map((of) => chartOfPair(of, review, names))
}

function chartOfPair(of: PairOfMode, review: Review, names: Set<string>): Chart {
  const { a, b, mode } = of
  const found = pairedResults(review, of)
  const mean = meanOfPair(review, of)
  const { columns, rows } = wordedPair(of, found)
  const positionOf = (name: string) => review.machines.findIndex(({ machine }) => machine === name)
  return reviewChart({
    name: uniqueName(`review ${mode ?? ''} ${a} ${b}`, names),
    title: mean === undefined ? `${modePrefix(mode)}${a} and ${b}` : headlineOfPair(mean),
    first: a,
    second: b,
    positions: coloursApart(positionOf(a), positionOf(b)),
    rows: [...found.map(rowOf), ...(mean === undefined ? [] : [meanRow(mean)])],
    table: {
      columns: columns.map(({ heading }) => heading),
      rows: [...rows, ...(mean === undefined ? [] : [meanCells(mean)])],
    },
  })
}

/** Colours are taken again from the start: of two machines with one colour the second takes the next. */
function coloursApart(a: number, b: number): readonly [number, number] {
  return [a, a % MACHINE_COLOURS === b % MACHINE_COLOURS ? b + 1 : b]
}

/** The geometric mean of a pair in a mode; undefined where they have no workload in common by its first metric. */
export function meanOfPair({ means }: Review, of: PairOfMode): PairMean | undefined {
  return means.find(({ a, b, mode }) => a === of.a && b === of.b && mode === of.mode)
}

function rowOf({ result, pair }: PairedResult): ReviewChartRow {
  return {
    name: nameAlone(result),
    asTested: percentOf(pair.asTested),
    atEqualPower: pair.atEqualPower && percentOf(pair.atEqualPower),
    isMean: false,
  }
}

function meanRow({ asTested, atEqualPower }: PairMean): ReviewChartRow {
  const [all, powered] = [asTested.workloads.length, atEqualPower?.workloads.length ?? 0]
  return {
    name: sayMean(all),
    ...(powered === 0 || powered === all ? {} : { secondName: `of ${powered} at equal power` }),
    asTested: percentOf(asTested.ratio),
    atEqualPower: atEqualPower && percentOf(atEqualPower.ratio),
    isMean: true,
  }
}

/** The mean below the results, as the table of the numbers has it. */
function meanCells(mean: PairMean): readonly string[] {
  const { name, secondName, asTested, atEqualPower } = meanRow(mean)
  return [
    secondName === undefined ? name : `${name}, ${secondName}`,
    signedPercent(asTested),
    atEqualPower === null ? '–' : signedPercent(atEqualPower),
    '–',
  ]
}
