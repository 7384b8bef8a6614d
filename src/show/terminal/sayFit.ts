import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { finestDecimals, groupDigits, NO_BREAK } from '../figures/digits.js'
import { sayDuration, sayMoment } from '../figures/sayDuration.js'
import { gainPercent, sayElasticity } from '../figures/sayElasticity.js'
import {
  sayEstimate,
  sayGivenPower,
  sayMeasuredScore,
  sayPercent,
  sayPower,
  sayPowers,
  sayScore,
} from '../figures/sayEstimate.js'
import { shortenPath } from '../figures/shorten.js'
import { wrapText } from '../figures/wrapText.js'
import { sayChassis } from '../text/sayChassis.js'
import { plotCurve } from './plotCurve.js'
import { plotTable } from './plotTable.js'
import { type CurveCriticismView, sayCriticism } from './sayCriticism.js'
import { inkText, type Style } from './style.js'

/** What `fit` shows of the sheets of one chip. */
export interface FitView {
  readonly chip: {
    readonly name: string
    readonly workload: Workload
    readonly measuredRangeW: readonly [number, number]
    readonly curve: readonly CurvePoint[]
  }
  readonly chassis: Chassis
  readonly runs: readonly FittedRunView[]
  /** Runs as they are set on the curve, and the temperature that they were brought to, degrees C. */
  readonly dots: {
    readonly runs: readonly { readonly meanW: number; readonly score: number }[]
    readonly referenceC: number | null
  }
  readonly criticism: CurveCriticismView | null
}

export interface CurvePoint {
  readonly powerW: number
  readonly score: Estimate
  readonly perWatt: Estimate
  readonly elasticity: Estimate
}

export interface FittedRunView {
  /** How its place was known. */
  readonly placedBy?: string
  readonly sheet: string
  readonly startS: number | null
  readonly endS: number | null
  readonly meanW: number
  readonly score: number
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  readonly fittedScore: number
}

/** The whole answer of `fit`: the score curve with its runs, the chassis' limits, the runs, and a conclusion. */
export function sayFit(view: FitView, style: Style): string {
  return [
    inkText(`${view.chip.name} on ${view.chip.workload.name}`, 'strong', style),
    wrapText(sayLegend(view), style.width, 2),
    plotScoreCurve(view, style),
    plotTable(
      curveColumns(view.chip.workload),
      pickRows(view.chip.curve, 9).map(curveRow(view.chip.workload)),
      style,
    ),
    wrapText(`${concludeFit(view)}${sayCriticism(view.criticism)}`, style.width, 2),
    inkText(`Chassis ${view.chassis.name}`, 'strong', style),
    plotTable([{ heading: 'limit' }, { heading: 'value' }], sayChassis(view.chassis), style),
    sayRuns(view.runs, style),
  ].join('\n\n')
}

function sayLegend({ chip, dots: { referenceC } }: FitView): string {
  const moved =
    referenceC === null ? '' : `, brought to the ${atTemperature(referenceC)} that the curve holds for`
  return `Score, ${chip.workload.score}, against package power; dots bound the 90 % interval, ● is a run${moved}`
}

function atTemperature(temperatureC: number): string {
  return `${Math.round(temperatureC)}${NO_BREAK}°C`
}

/** The score curve with its interval, the runs on it and the measured range under it. */
function plotScoreCurve(view: Pick<FitView, 'chip' | 'dots'>, style: Style): string {
  const { curve, measuredRangeW } = view.chip
  return plotCurve(
    {
      curves: [
        {
          x: curve.map((point) => point.powerW),
          value: curve.map((point) => point.score.value),
          low: curve.map((point) => point.score.low),
          high: curve.map((point) => point.score.high),
        },
      ],
      points: view.dots.runs.map((run) => ({ x: run.meanW, y: run.score })),
      spans: [{ from: measuredRangeW[0], to: measuredRangeW[1], text: 'measured' }],
      xUnit: 'W',
    },
    style,
  )
}

/** What the curve says, in a sentence or two. */
function concludeFit(view: FitView): string {
  const [low, high] = view.chip.measuredRangeW
  const middle = nearest(view.chip.curve, (low + high) / 2)
  const worst = Math.max(...view.runs.map((run) => Math.abs(run.score / run.fittedScore - 1)))
  const { workload } = view.chip
  const verb = workload.better === 'lower' ? 'takes' : 'scores'
  const { referenceC } = view.dots
  const warmth =
    referenceC === null
      ? ''
      : ` The curve is that of a chip at ${atTemperature(referenceC)}; a cooler one ${workload.better === 'lower' ? 'takes less time' : 'scores more'} at the same power.`
  return (
    `Measured from ${sayPowers([low, high])}. At ${sayGivenPower(middle.powerW)} ${view.chip.name} ${verb} ` +
    `${sayScore(middle.score, workload.score)}; ${sayElasticity(middle.elasticity, workload)} there. ` +
    (view.runs.length === 1
      ? 'One score sets the level of the curve; its slope is that of typical chips.'
      : `${view.runs.length} runs lie within ${sayPercent(100 * worst)} of the curve.`) +
    warmth
  )
}

function curveColumns({ score, better }: Workload) {
  const effect = better === 'lower' ? '+10 % power saves' : '+10 % power gives'
  return [
    { heading: 'power', align: 'right' },
    { heading: score.length > 8 ? 'score' : score, align: 'right' },
    { heading: better === 'lower' ? 'runs per Wh' : 'per watt', align: 'right' },
    { heading: effect, align: 'right' },
  ] as const
}

const curveRow = (workload: Workload) => (point: CurvePoint) => [
  sayGivenPower(point.powerW),
  sayScore(point.score),
  sayScore(point.perWatt),
  sayEstimate(gainPercent(point.elasticity, workload), '%'),
]

const RUN_COLUMNS = [
  { heading: 'run', align: 'right' },
  { heading: 'from', align: 'right' },
  { heading: 'took', align: 'right' },
  { heading: 'mean power', align: 'right' },
  { heading: 'score', align: 'right' },
  { heading: 'fitted', align: 'right' },
  { heading: 'against fit', align: 'right' },
] as const

/** Runs as measured, with what the curve says at their power; of many runs an even choice. */
function sayRuns(runs: readonly FittedRunView[], style: Style): string {
  const sheets = [...new Set(runs.map(({ sheet }) => sheet))]
  const numbered = numberedRuns(runs)
  const shown = pickRows(numbered, 20)
  const chosen =
    shown.length < runs.length ? `${shown.length} of ${runs.length} runs are shown; --csv lists all. ` : ''
  const isPaced = runs.some(({ placedBy }) => placedBy === 'rate')
  const blocks = isPaced
    ? 'Runs are blocks of the pace in the log, long enough to be nearly independent. '
    : ''
  return [
    sheets.length < 2
      ? plotTable(RUN_COLUMNS, shown.map(runRow), style)
      : plotTable(
          [{ heading: 'sheet' }, ...RUN_COLUMNS],
          shown.map((run) => [
            shortenPath(run.sheet, Math.max(8, style.width - OTHER_COLUMNS)),
            ...runRow(run),
          ]),
          style,
        ),
    wrapText(`${chosen}${blocks}Power and score of a run are measured values.`, style.width, 2),
  ].join('\n\n')
}

/** What the other columns of the table and the gaps between them take at most. */
const OTHER_COLUMNS = 64

/** Runs with their numbers, which count from 1 in each sheet. */
function numberedRuns(runs: readonly FittedRunView[]) {
  const counts = new Map<string, number>()
  return runs.map((run) => {
    const number = (counts.get(run.sheet) ?? 0) + 1
    counts.set(run.sheet, number)
    return { ...run, number }
  })
}

function runRow(run: FittedRunView & { readonly number: number }): string[] {
  const timed = run.startS !== null && run.endS !== null
  return [
    String(run.number),
    run.startS === null ? '' : sayMoment(run.startS),
    run.of !== undefined ? `mean of ${run.of}` : timed ? sayDuration(run.endS! - run.startS!) : '',
    sayPower(run.meanW),
    sayMeasuredScore(run.score),
    groupDigits(run.fittedScore, finestDecimals(run.fittedScore, 'score')),
    sayPercent(100 * (run.score / run.fittedScore - 1)),
  ]
}

/** At most `most` rows, evenly picked, first and last among them. */
function pickRows<T>(rows: readonly T[], most: number): readonly T[] {
  if (rows.length <= most) return rows
  return Array.from(
    { length: most },
    (_, index) => rows[Math.round((index * (rows.length - 1)) / (most - 1))]!,
  )
}

function nearest(curve: readonly CurvePoint[], powerW: number): CurvePoint {
  return curve.reduce((best, point) =>
    Math.abs(point.powerW - powerW) < Math.abs(best.powerW - powerW) ? point : best,
  )
}
