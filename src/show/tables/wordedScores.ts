import type { ReviewedResult, ReviewResult } from '../../predict/review/reviewResults.js'
import { gainPercent } from '../figures/sayElasticity.js'
import { sayGivenPower, sayPower, sayScore } from '../figures/sayEstimate.js'
import { modePrefix, sayBasis } from '../text/sayReviewText.js'
import { nameAlone, signedPercent, type WordedTable } from './wordedTable.js'

/** Results of one power mode, and the machines that are its columns. */
export interface ResultsOfMode {
  readonly mode: string | null
  readonly results: readonly ReviewResult[]
  readonly machines: readonly string[]
}

/** What every machine scored in every workload, and at what power. */
export function wordedScores(of: ResultsOfMode): WordedTable {
  return {
    title: `${modePrefix(of.mode)}as tested`,
    columns: columnsOf(of),
    rows: of.results.map((result) => [
      resultName(result),
      ...cellsOf(result, of, ({ score, powerW }) => {
        return `${sayScore(score)}${powerW === null ? '' : `\nat ${sayPower(powerW)}`}`
      }),
    ]),
    note: sayBasis(of.results),
  }
}

/** What every chip scores at the same watts; null where no power is known. */
export function wordedEqualPower(of: ResultsOfMode): WordedTable | null {
  return pointsTable(of, `${modePrefix(of.mode)}score of the chips at equal power`, ({ score }) =>
    sayScore(score),
  )
}

/** What every chip scores per watt at the same watts; null where no power is known. */
export function wordedPerWatt(of: ResultsOfMode): WordedTable | null {
  const title = `${modePrefix(of.mode)}score per watt at equal power (of a time: runs per watt-hour)`
  return pointsTable(of, title, ({ perWatt }) => sayScore(perWatt))
}

/** What a tenth more power makes of every machine's speed, where it depends on power at all; null where no power is known. */
export function wordedGains(of: ResultsOfMode): WordedTable | null {
  const known = of.results.filter(({ machines }) => machines.some(({ elasticity }) => elasticity !== null))
  if (known.length === 0) return null
  const isUnclear = known.some(({ machines }) =>
    machines.some(({ dependsOnPower }) => dependsOnPower === 'unclear'),
  )
  return {
    title: `${modePrefix(of.mode)}how much faster 10 % more power would make each, %`,
    columns: columnsOf(of),
    rows: known.map((result) => [nameAlone(result), ...cellsOf(result, of, sayGain)]),
    ...(isUnclear ? { note: UNCLEAR } : {}),
  }
}

const UNCLEAR = 'Unclear: it may be 1 % or less, which is hardly any.'

function sayGain({ elasticity, dependsOnPower }: ReviewedResult): string {
  if (elasticity === null) return '–'
  if (dependsOnPower === 'task') return 'needs no more power'
  const figure = signedPercent(gainPercent(elasticity, { better: 'higher' }))
  if (dependsOnPower === 'no') return `${figure}\nhardly any`
  return dependsOnPower === 'unclear' ? `${figure}\nunclear` : figure
}

function pointsTable(
  of: ResultsOfMode,
  title: string,
  say: (point: NonNullable<ReviewedResult['atEqualPower']>) => string,
): WordedTable | null {
  const powered = of.results.filter(({ atW, machines }) => {
    return atW !== null && machines.some(({ atEqualPower }) => atEqualPower)
  })
  if (powered.length === 0) return null
  const outside = powered.some(({ machines }) =>
    machines.some(({ atEqualPower }) => atEqualPower?.extrapolated),
  )
  return {
    title,
    columns: columnsOf(of),
    rows: powered.map((result) => [
      `${resultName(result)}\nat ${sayGivenPower(result.atW!)}`,
      ...cellsOf(result, of, ({ atEqualPower: point }) =>
        point === null ? '–' : `${say(point)}${point.extrapolated ? '*' : ''}`,
      ),
    ]),
    ...(outside ? { note: '* extrapolated: this chip was not measured at that power.' } : {}),
  }
}

function columnsOf({ machines }: ResultsOfMode): WordedTable['columns'] {
  return [{ heading: 'workload' }, ...machines.map((heading) => ({ heading }))]
}

function cellsOf(
  result: ReviewResult,
  { machines }: ResultsOfMode,
  cell: (of: ReviewedResult) => string,
): readonly string[] {
  return machines.map((name) => {
    const of = result.machines.find(({ machine }) => machine === name)
    return of === undefined ? '–' : cell(of)
  })
}

function resultName(result: ReviewResult): string {
  return `${nameAlone(result)}, ${result.unit}`
}
