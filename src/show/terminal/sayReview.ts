import { USUAL_LOAD_C } from '../../physics/chip/leakageHeat.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import { NO_BREAK } from '../figures/digits.js'
import { wrapText } from '../figures/wrapText.js'
import { type PairOfMode, pairedResults, pairsOf, wordedPair } from '../tables/wordedPairs.js'
import { type ResultsOfMode, wordedPerWatt, wordedScores } from '../tables/wordedScores.js'
import type { WordedTable } from '../tables/wordedTable.js'
import { sayLeftOut, sayReviewText } from '../text/sayReviewText.js'
import { plotTable } from './plotTable.js'
import { inkText, type Style } from './style.js'

/** The whole answer of `review`: what to quote first, then scores, pairs and causes, mode by mode. */
export function sayReview(review: Review, style: Style): string {
  const { machines, results } = review
  const names = machines.map(({ machine }) => machine)
  const modes = [...new Set(results.map(({ mode }) => mode))]
  const pairs = pairsOf(review)
  return [
    inkText(machines.map(({ machine, chip }) => `${machine} (${chip})`).join(', '), 'strong', style),
    ...sayReviewText(review).map((text) => wrapText(text, style.width, 2)),
    ...modes.flatMap((mode) => [
      ...sayScores({ mode, machines: names, results: results.filter((of) => of.mode === mode) }, style),
      ...pairs.filter((of) => of.mode === mode).flatMap((of) => sayPair(review, of, style)),
    ]),
    ...leftOutOf(review).map((text) => wrapText(text, style.width, 2)),
    wrapText(NOTES, style.width, 2),
  ].join('\n\n')
}

const NOTES = `Faster means a higher score, or a shorter time. Equal power: both chips at the same watts and at ${USUAL_LOAD_C}${NO_BREAK}°C, without --at halfway between what the machines held; the ratio of their scores per watt is the same. What chip, power and temperature make of each difference stands in the tables (--csv, --markdown, --html). Intervals hold the true value in 90 % of cases.`

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

function sayTable({ title, columns, rows, note }: WordedTable, style: Style): readonly string[] {
  return [
    inkText(title, 'strong', style),
    plotTable(columns, rows, style),
    ...(note === undefined ? [] : [wrapText(note, style.width, 2)]),
  ]
}
