import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { ReviewedPair } from '../../predict/review/comparePair.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import type { ReviewResult } from '../../predict/review/reviewResults.js'
import { sayEstimate, sayGivenPower, sayPower, sayScore } from '../text/sayEstimate.js'
import { modePrefix, percentOf, sayLeftOut, sayReviewText } from '../text/sayReviewText.js'
import { wrapText } from '../text/wrapText.js'
import { plotTable, type TableColumn } from './plotTable.js'
import { inkText, type Style } from './style.js'

/** The whole answer of `review`: what to quote first, then scores, pairs and causes, mode by mode. */
export function sayReview(review: Review, style: Style): string {
  const { machines, results, means } = review
  const modes = [...new Set(results.map(({ mode }) => mode))]
  const pairs = means.filter(
    (mean, index) => means.findIndex(({ a, b }) => a === mean.a && b === mean.b) === index,
  )
  return [
    inkText(machines.map(({ machine, chip }) => `${machine} (${chip})`).join(', '), 'strong', style),
    ...sayReviewText(review).map((text) => wrapText(text, style.width, 2)),
    ...modes.flatMap((mode) => {
      const own = results.filter((result) => result.mode === mode)
      return [
        ...sayScores(
          own,
          mode,
          machines.map(({ machine }) => machine),
          style,
        ),
        ...pairs.flatMap(({ a, b }) => sayPair(own, { a, b, mode }, style)),
      ]
    }),
    ...leftOutOf(review).map((text) => wrapText(text, style.width, 2)),
    wrapText(`${basisOf(results)} ${NOTES}`, style.width, 2),
  ].join('\n\n')
}

const NOTES =
  'Faster means a higher score, or a shorter time. Equal power: both chips at the same watts, halfway between what the machines held; the ratio of their scores per watt is the same. What chip, power and temperature make of each difference stands in the tables (--csv, --markdown, --html). Intervals hold the true value in 90 % of cases.'

/** Which runs the scores are means of. */
function basisOf(results: readonly ReviewResult[]): string {
  const steady = [
    ...new Set(results.filter(({ basis }) => basis === 'steady').map(({ workload }) => workload)),
  ]
  const all = 'Scores as tested are means of all runs'
  if (steady.length === 0) return `${all}.`
  return `${all}; in ${steady.join('; ')} of the last three, where the power had settled on every machine.`
}

function leftOutOf({ means }: Review): readonly string[] {
  const all = means.flatMap(({ leftOut }) => leftOut)
  const text = sayLeftOut(all)
  return text === '' ? [] : [text]
}

function sayScores(
  results: readonly ReviewResult[],
  mode: string | null,
  machines: readonly string[],
  style: Style,
): readonly string[] {
  const columns: TableColumn[] = [{ heading: 'workload' }, ...machines.map((heading) => ({ heading }))]
  const cells = (result: ReviewResult, cell: (of: ReviewResult['machines'][number]) => string) =>
    machines.map((name) => {
      const of = result.machines.find(({ machine }) => machine === name)
      return of === undefined ? '–' : cell(of)
    })
  const rows = results.map((result) => [
    resultName(result),
    ...cells(
      result,
      ({ score, powerW }) => `${sayScore(score)}${powerW === null ? '' : `\nat ${sayPower(powerW)}`}`,
    ),
  ])
  const powered = results.filter(
    ({ atW, machines: of }) => atW !== null && of.some(({ atEqualPower }) => atEqualPower),
  )
  const perWatt = powered.map((result) => [
    `${resultName(result)}\nat ${sayGivenPower(result.atW!)}`,
    ...cells(result, ({ atEqualPower: point }) =>
      point === null ? '–' : `${sayScore(point.perWatt)}${point.extrapolated ? '*' : ''}`,
    ),
  ])
  const outside = powered.some(({ machines: of }) =>
    of.some(({ atEqualPower }) => atEqualPower?.extrapolated),
  )
  return [
    inkText(`${modePrefix(mode)}as tested`, 'strong', style),
    plotTable(columns, rows, style),
    ...(perWatt.length === 0
      ? []
      : [
          inkText(
            `${modePrefix(mode)}score per watt at equal power (of a time: runs per watt-hour)`,
            'strong',
            style,
          ),
          plotTable(columns, perWatt, style),
        ]),
    ...(outside
      ? [wrapText('* extrapolated: this chip was not measured at that power.', style.width, 2)]
      : []),
  ]
}

function resultName({ workload, metric, unit, inMeans }: ReviewResult): string {
  const name = inMeans ? workload : `${workload}: ${metric}`
  return `${name}, ${unit}`
}

function sayPair(
  results: readonly ReviewResult[],
  of: { readonly a: string; readonly b: string; readonly mode: string | null },
  style: Style,
): readonly string[] {
  const found = results.flatMap((result) => {
    const pair = result.pairs.find(({ a, b }) => a === of.a && b === of.b)
    return pair === undefined ? [] : [{ result, pair }]
  })
  if (found.length === 0) return []
  return [
    inkText(`${modePrefix(of.mode)}how much faster ${of.a} is than ${of.b}, %`, 'strong', style),
    plotTable(
      PAIR_COLUMNS,
      found.map(({ result, pair }) => pairRow(result, pair)),
      style,
    ),
  ]
}

const PAIR_COLUMNS: readonly TableColumn[] = [
  { heading: 'workload' },
  { heading: 'as tested', align: 'right' },
  { heading: 'at equal power', align: 'right' },
  { heading: 'power explains' },
]

function pairRow(result: ReviewResult, pair: ReviewedPair): string[] {
  return [
    nameAlone(result),
    signed(percentOf(pair.asTested)),
    pair.atEqualPower === null ? '–' : signed(percentOf(pair.atEqualPower)),
    pair.powerExplains === null ? 'not known' : EXPLAINS[pair.powerExplains],
  ]
}

const EXPLAINS = { nothing: 'none of it', something: 'some of it', unclear: 'unclear' } as const

function nameAlone({ workload, metric, inMeans }: ReviewResult): string {
  return inMeans ? workload : `${workload}: ${metric}`
}

function signed(percent: Estimate): string {
  const text = sayEstimate(percent, '', 'percent')
  return percent.value > 0 && !text.startsWith('0 ') && text !== '0' ? `+${text}` : text
}
