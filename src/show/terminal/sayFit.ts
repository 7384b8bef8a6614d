import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { sayDuration, sayMoment } from '../text/sayDuration.js'
import { groupDigits, sayEstimate, sayInterval, sayNumber, sayValue } from '../text/sayEstimate.js'
import { wrapText } from '../text/wrapText.js'
import { plotCurve } from './plotCurve.js'
import { plotTable } from './plotTable.js'
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
}

export interface CurvePoint {
  readonly powerW: number
  readonly score: Estimate
  readonly perWatt: Estimate
  readonly elasticity: Estimate
}

export interface FittedRunView {
  readonly startS: number | null
  readonly endS: number | null
  readonly meanW: number
  readonly score: number
  readonly fittedScore: number
}

/** The whole answer of `fit`: the score curve with its runs, the chassis' limits, the runs, and a conclusion. */
export function sayFit(view: FitView, style: Style): string {
  return [
    inkText(`${view.chip.name} on ${view.chip.workload.name}`, 'strong', style),
    `  Score, ${view.chip.workload.score}, against package power; dots bound the 90 % interval, ● is a run`,
    plotScoreCurve(view, style),
    plotTable(CURVE_COLUMNS, pickRows(view.chip.curve, 9).map(curveRow), style),
    wrapText(concludeFit(view), style.width, 2),
    inkText(`Chassis ${view.chassis.name}`, 'strong', style),
    plotTable([{ heading: 'limit' }, { heading: 'value' }], chassisRows(view.chassis), style),
    plotTable(RUN_COLUMNS, pickRows(view.runs, 20).map(runRow), style),
  ].join('\n\n')
}

/** The score curve with its interval, the runs on it and the measured range under it. */
function plotScoreCurve(view: Pick<FitView, 'chip' | 'runs'>, style: Style): string {
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
      points: view.runs.map((run) => ({ x: run.meanW, y: run.score })),
      spans: [{ from: measuredRangeW[0], to: measuredRangeW[1], text: 'measured' }],
      xUnit: 'W',
    },
    style,
  )
}

/** What the curve says, in a sentence or two. */
function concludeFit(view: Pick<FitView, 'chip' | 'runs'>): string {
  const [low, high] = view.chip.measuredRangeW
  const middle = nearest(view.chip.curve, (low + high) / 2)
  const worst = Math.max(...view.runs.map((run) => Math.abs(run.score / run.fittedScore - 1)))
  const effect = view.chip.workload.better === 'lower' ? 'less time' : 'more score'
  const gain = Math.abs(middle.elasticity.value * 10)
  return (
    `Measured from ${sayNumber(low, 3)} to ${sayNumber(high, 3, 'W')}. At ${sayNumber(middle.powerW, 3, 'W')} it scores ` +
    `${sayEstimate(middle.score, view.chip.workload.score)}, and 10 % more power buys about ${groupDigits(gain, 1)} % ${effect} ` +
    `(elasticity ${sayEstimate(middle.elasticity)}). The ${view.runs.length} runs lie within ` +
    `${groupDigits(100 * worst, 1)} % of the curve.`
  )
}

const CURVE_COLUMNS = [
  { heading: 'power', align: 'right' },
  { heading: 'score', align: 'right' },
  { heading: 'interval', align: 'right' },
  { heading: 'per watt', align: 'right' },
  { heading: 'elasticity', align: 'right' },
] as const

function curveRow(point: CurvePoint): string[] {
  return [
    sayNumber(point.powerW, 3, 'W'),
    sayValue(point.score),
    sayInterval(point.score),
    sayValue(point.perWatt),
    sayEstimate(point.elasticity),
  ]
}

function chassisRows(chassis: Chassis): string[][] {
  const rows: string[][] = [['burst', withHold(chassis.burstW, chassis.burstHoldS)]]
  if (chassis.shortTermW) rows.push(['short-term', withHold(chassis.shortTermW, chassis.shortTermHoldS)])
  rows.push(['sustained', sayEstimate(chassis.sustainedW, 'W')])
  for (const budget of chassis.budgets) {
    rows.push([
      'power budget',
      `${sayEstimate(budget.limitW, 'W')} averaged over τ ${sayEstimate(budget.tauS, 's')}`,
    ])
  }
  for (const step of chassis.timedSteps) {
    rows.push(['timed step', `${sayEstimate(step.limitW, 'W')} after ${sayEstimate(step.afterS, 's')}`])
  }
  if (chassis.thermal)
    rows.push(['heat', sayThermal(chassis.thermal)], ['', sayTimeConstants(chassis.thermal)])
  return rows
}

function withHold(power: Estimate, hold: Estimate | null): string {
  if (!hold) return sayEstimate(power, 'W')
  return `${sayEstimate(power, 'W')} held ${sayEstimate(hold, 's')} from idle`
}

function sayThermal(thermal: NonNullable<Chassis['thermal']>): string {
  const ceiling =
    thermal.ceilingC === null ? 'no ceiling seen' : `ceiling ${groupDigits(thermal.ceilingC, 0)} °C`
  return `${sayEstimate(thermal.resistanceKPerW, 'K/W')}, ${ceiling}`
}

function sayTimeConstants({ stages }: NonNullable<Chassis['thermal']>): string {
  return `τ ${stages.map((stage) => sayDuration(stage.tauS)).join(', ')}`
}

const RUN_COLUMNS = [
  { heading: 'run', align: 'right' },
  { heading: 'from', align: 'right' },
  { heading: 'took', align: 'right' },
  { heading: 'mean power', align: 'right' },
  { heading: 'score', align: 'right' },
  { heading: 'fitted', align: 'right' },
  { heading: 'off by', align: 'right' },
] as const

function runRow(run: FittedRunView & { readonly index?: number }, index: number): string[] {
  const timed = run.startS !== null && run.endS !== null
  return [
    String(index + 1),
    run.startS === null ? '' : sayMoment(run.startS),
    timed ? sayDuration(run.endS! - run.startS!) : '',
    sayNumber(run.meanW, 3, 'W'),
    groupDigits(run.score, run.score >= 1000 ? 0 : 1),
    groupDigits(run.fittedScore, run.fittedScore >= 1000 ? 0 : 1),
    `${groupDigits(100 * (run.score / run.fittedScore - 1), 1)} %`,
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
