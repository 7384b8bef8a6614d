import type { Review } from '../../predict/review/reviewMachines.js'
import { wrapText } from '../figures/wrapText.js'
import { type PairOfMode, pairedResults, pairsOf, wordedPair } from '../tables/wordedPairs.js'
import { type ResultsOfMode, wordedPerWatt, wordedScores } from '../tables/wordedScores.js'
import type { WordedTable } from '../tables/wordedTable.js'
import { sayLeftOut, sayReviewText } from '../text/sayReviewText.js'
import { plotTable } from './plotTable.js'
import { inkText, type Style } from './style.js'

/**
 * The whole answer of `review`: what to quote first, then scores, pairs and causes, mode by mode. Of many machines only the pairs of the
 * first are told, as the number of pairs grows with the square.
 */
export function sayReview(review: Review, style: Style): string {
  const { machines, results } = review
  const names = machines.map(({ machine }) => machine)
  const modes = [...new Set(results.map(({ mode }) => mode))]
  const first = names.length > MOST_IN_PAIRS ? names[0]! : null
  const isTold = ({ a, b }: { readonly a: string; readonly b: string }) =>
    first === null || a === first || b === first
  const pairs = pairsOf(review).filter(isTold)
  const texts = sayReviewText({ ...review, means: review.means.filter(isTold) })
  return [
    ...[inkText(wrapText(machines.map(nameWithChip).join(', '), style.width, 0), 'strong', style)],
    ...texts.map((text) => wrapText(text, style.width, 2)),
    ...(first === null ? [] : [wrapText(sayTold(first), style.width, 2)]),
    ...modes.flatMap((mode) => [
      ...sayScores({ mode, machines: names, results: results.filter((of) => of.mode === mode) }, style),
      ...pairs.filter((of) => of.mode === mode).flatMap((of) => sayPair(review, of, style)),
    ]),
    ...leftOutOf(review).map((text) => wrapText(text, style.width, 2)),
    wrapText(NOTES, style.width, 2),
  ].join('\n\n')
}

/** Of more machines than this, not every pair is told. */
const MOST_IN_PAIRS = 4

function nameWithChip({ machine, chip }: Review['machines'][number]): string {
  return `${machine} (${chip})`
}

function sayTold(first: string): string {
  return `These are the pairs of ${first}, the first named: name another machine first for its pairs. Every pair stands in the tables (--csv, --markdown, --html), in --json and on the page (holdwatt page).`
}

const NOTES = `Faster means a higher score, or a shorter time. Equal power: both chips at the same watts, without --at halfway between what the machines held, and at the temperature halfway between theirs; the ratio of their scores per watt is the same. What chip, power and temperature make of each difference stands in the tables (--csv, --markdown, --html). Intervals hold the true value in 90 % of cases.`

function leftOutOf({ means }: Review): readonly string[] {
  const all = means.flatMap(({ leftOut }) => leftOut)
  const text = sayLeftOut(all)
  return text === '' ? [] : [text]
}

function sayScores(of: ResultsOfMode, style: Style): readonly string[] {
  const perWatt = wordedPerWatt(of)
  return [...sayTable(wordedScores(of), style), ...(perWatt === null ? [] : sayTable(perWatt, style))]
}

function sayPair(review: Review, of: PairOfMode, style: Style): readonly string[] {
  const found = pairedResults(review, of)
  return found.length === 0 ? [] : sayTable(wordedPair(of, found), style)
}

function sayTable(table: WordedTable, style: Style): readonly string[] {
  const { title, note } = table
  return [
    inkText(title, 'strong', style),
    ...sideBySide(table, style.width).map(({ columns, rows }) => plotTable(columns, rows, style)),
    ...(note === undefined ? [] : [wrapText(note, style.width, 2)]),
  ]
}

/** Columns for what a workload's name and a figure with its interval take. */
const NAME_WIDTH = 26
const FIGURE_WIDTH = 18
/** So many machines always stand side by side. */
const LEAST_SIDE_BY_SIDE = 3

/** A table of many machines as several, each with the names of the workloads and as many machines as there is room for. */
function sideBySide(
  { columns, rows }: WordedTable,
  width: number,
): readonly Pick<WordedTable, 'columns' | 'rows'>[] {
  const machines = columns.length - 1
  const most = Math.max(LEAST_SIDE_BY_SIDE, Math.floor((width - NAME_WIDTH) / FIGURE_WIDTH))
  const parts = Math.ceil(machines / most)
  const each = Math.ceil(machines / parts)
  return Array.from({ length: parts }, (_, part) => {
    const taken = <Item>(row: readonly Item[]) => [
      row[0]!,
      ...row.slice(1 + part * each, 1 + (part + 1) * each),
    ]
    return { columns: taken(columns), rows: rows.map(taken) }
  })
}
