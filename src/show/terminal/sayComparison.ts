import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { ChipComparison } from '../../predict/comparison/compareChips.js'
import { NO_BREAK } from '../figures/digits.js'
import {
  sayEstimate,
  sayGivenPower,
  sayInterval,
  sayPercent,
  sayPower,
  sayScore,
  sayValue,
} from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { gapPercent, unsigned } from '../text/sayGapText.js'
import { plotCurve } from './plotCurve.js'
import { plotTable } from './plotTable.js'
import { inkText, type Style } from './style.js'

/** What `compare` shows: its JSON document with the workload that all share. */
export interface ComparisonView {
  readonly workload: Workload
  /** Temperature that the curves of all chips hold for, degrees C; null where it is not known. */
  readonly referenceC: number | null
  readonly machines: ChipComparison['machines']
  readonly at: readonly ComparedPower[]
  readonly crossovers: readonly ComparedCrossover[]
}

export interface ComparedCrossover {
  readonly between: readonly [string, string]
  readonly powerW: Estimate
  readonly probability: number
  readonly extrapolated: readonly string[]
}

export interface ComparedPower {
  readonly powerW: number
  readonly scores: readonly { readonly chip: string; readonly score: Estimate; readonly perWatt: Estimate }[]
  readonly ratio: Estimate
  readonly probabilityFirstAhead: number
  readonly extrapolated: readonly string[]
}

/** The whole answer of `compare`: the machines as tested, chips at equal power, crossovers, and a conclusion. */
export function sayComparison(view: ComparisonView, style: Style): string {
  const parts = [
    inkText(`${view.workload.name}: machines as tested`, 'strong', style),
    plotTable(MACHINE_COLUMNS, view.machines.map(machineRow), style),
    inkText('Chips at equal power', 'strong', style),
  ]
  if (view.at.length > 2) parts.push(plotChips(view, style))
  if (chipNames(view).length > MOST_SIDE_BY_SIDE) parts.push(plotByChip(view, style))
  else
    parts.push(
      plotTable(
        atColumns(view),
        view.at.map((row) => atRow(row, style)),
        style,
      ),
    )
  if (view.at.some((row) => row.extrapolated.length > 0)) {
    parts.push(
      wrapText(
        '* extrapolated: this chip was not measured at that power, and the interval is wider for it.',
        style.width,
        2,
      ),
    )
  }
  parts.push(wrapText(concludeComparison(view), style.width, 2), wrapText(sayNote(view), style.width, 2))
  return parts.join('\n\n')
}

/** Who is ahead, where, and how sure that is. */
function concludeComparison(view: ComparisonView): string {
  const [first, second] = chipNames(view)
  const last = view.at.at(-1)
  const start = view.at[0]
  if (!first || !second || !last || !start) return 'Name two chips or more to compare them.'
  const crossing = view.crossovers.find(({ between }) => between.includes(first) && between.includes(second))
  const text = [sayAhead(first, second, start, view.workload), sayAhead(first, second, last, view.workload)]
  const verdicts = start.powerW === last.powerW ? text.slice(0, 1) : text
  return [...verdicts, ...(crossing ? [sayCrossing(crossing)] : [])].join(' ')
}

/** Above this probability two curves are said to cross without a word about it. */
const SURE_TO_CROSS = 0.95

function sayCrossing({ powerW, probability, extrapolated }: ComparedCrossover): string {
  const cross =
    probability >= SURE_TO_CROSS ? 'cross at' : `probably cross (probability ${sayChance(probability)}), at`
  const unseen =
    extrapolated.length === 0
      ? ''
      : `, where ${extrapolated.join(' and ')} ${extrapolated.length === 1 ? 'was' : 'were'} not measured`
  return `Their curves ${cross} about ${sayEstimate(powerW, 'W')}${unseen}.`
}

function sayAhead(first: string, second: string, row: ComparedPower, workload: Workload): string {
  const isFirst = row.probabilityFirstAhead >= 0.5
  const [name, other] = isFirst ? [first, second] : [second, first]
  const chance = Math.max(row.probabilityFirstAhead, 1 - row.probabilityFirstAhead)
  const size = unsigned(gapPercent({ ratio: isFirst ? row.ratio : inverse(row.ratio) }))
  const at = `At ${sayGivenPower(row.powerW)}`
  if (chance < 0.9) return `${at} neither ${first} nor ${second} clearly leads.`
  const percent = sayValue(size, '%')
  const figure = workload.better === 'lower' ? `takes ${percent} less time` : `scores ${percent} more`
  const interval = `${sayInterval(size, 'percent')}${NO_BREAK}%`
  return `${at} ${name} ${figure} than ${other} (${interval}; probability ${sayChance(chance)}).`
}

function inverse({ value, low, high, level }: Estimate): Estimate {
  return { value: 1 / value, low: 1 / high, high: 1 / low, level }
}

function sayChance(chance: number): string {
  return chance > 0.995 ? 'over 99 %' : sayPercent(chance * 100, 0)
}

/** Why the table compares at equal power, and at which temperature. */
function sayNote({ referenceC, workload }: ComparisonView): string {
  const warmth =
    referenceC === null
      ? ''
      : ` All chips are at ${Math.round(referenceC)}${NO_BREAK}°C; cooler ones ${workload.better === 'lower' ? 'take less time' : 'score more'} at the same power.`
  return `Compare the figures of one row. Score per watt at two different powers says little, as every chip gains efficiency when its power falls.${warmth}`
}

const MACHINE_COLUMNS = [
  { heading: 'machine' },
  { heading: 'chip' },
  { heading: 'sustains', align: 'right' },
  { heading: 'steady score', align: 'right' },
] as const

function machineRow(machine: ComparisonView['machines'][number]): string[] {
  return [
    machine.machine,
    machine.chip,
    sayHeld(machine),
    machine.steadyScore ? sayScore(machine.steadyScore) : 'not measured',
  ]
}

function sayHeld({ sustained, sustainedW }: ComparisonView['machines'][number]): string {
  if (sustained !== null) return sayEstimate(sustained, 'W')
  return sustainedW === null ? 'unknown' : sayPower(sustainedW)
}

function chipNames(view: ComparisonView): string[] {
  return view.at[0]?.scores.map((score) => score.chip) ?? []
}

function atColumns(view: ComparisonView) {
  return [
    { heading: 'at', align: 'right' as const },
    ...chipNames(view).map((chip) => ({ heading: chip, align: 'right' as const })),
    ...(chipNames(view).length === 2 ? [{ heading: 'ratio', align: 'right' as const }] : []),
    { heading: 'first leads', align: 'right' as const },
  ]
}

function atRow(row: ComparedPower, style: Style): string[] {
  const roomy = style.width >= 100
  // Where there is no room beside it, an interval stands below its figure.
  const withInterval = (estimate: Estimate, mark = '') =>
    roomy
      ? `${sayScore(estimate)}${mark}`
      : `${sayValue(estimate, '', 'score')}${mark}\n${sayInterval(estimate, 'score')}`
  const scores = row.scores.map(({ chip, score }) =>
    withInterval(score, row.extrapolated.includes(chip) ? '*' : ''),
  )
  const ratio = row.scores.length === 2 ? [withInterval(row.ratio)] : []
  return [sayGivenPower(row.powerW), ...scores, ...ratio, sayShortChance(row.probabilityFirstAhead)]
}

/** More chips than this have no room beside each other: then each has a line, and the powers stand side by side. */
const MOST_SIDE_BY_SIDE = 3

function plotByChip(view: ComparisonView, style: Style): string {
  const names = chipNames(view)
  const room = Math.max(2, Math.floor((style.width - 2 - Math.max(...names.map((name) => name.length))) / 10))
  const step = Math.ceil(view.at.length / room)
  const powers = view.at.filter((_, index) => index % step === 0)
  const columns = powers.map((row) => ({ heading: sayGivenPower(row.powerW), align: 'right' as const }))
  const rows = names.map((name, index) => [
    name,
    ...powers.map((row) => {
      const { score } = row.scores[index]!
      return `${sayValue(score, '', 'score')}${row.extrapolated.includes(name) ? '*' : ''}`
    }),
  ])
  return plotTable([{ heading: 'chip' }, ...columns], rows, style)
}

function sayShortChance(probability: number): string {
  if (probability > 0.995) return '> 99 %'
  return probability < 0.005 ? '< 1 %' : sayPercent(probability * 100, 0)
}

const TAGS = 'ABCDEFGHJK'

function plotChips(view: ComparisonView, style: Style): string {
  const names = chipNames(view)
  const curves = names.slice(0, TAGS.length).map((chip, index) => ({
    x: view.at.map((row) => row.powerW),
    value: view.at.map((row) => row.scores.find((entry) => entry.chip === chip)?.score.value ?? 0),
    ink: index % 2 === 0 ? ('measured' as const) : ('fitted' as const),
    tag: TAGS[index]!,
  }))
  const key = names.map((chip, index) => `${TAGS[index] ?? '·'} ${chip}`).join(', ')
  return `${wrapText(`Score, ${view.workload.score}: ${key}`, style.width, 2)}\n${plotCurve({ curves, xUnit: 'W' }, style)}`
}
