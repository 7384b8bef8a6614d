import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { ProjectedRun, Projection, TargetLimits } from '../../predict/projection/projection.js'
import { type FigureKind, NO_BREAK } from '../text/digits.js'
import { sayDuration } from '../text/sayDuration.js'
import {
  sayEstimate,
  sayGivenPower,
  sayInterval,
  sayPowers,
  sayScore,
  sayValue,
} from '../text/sayEstimate.js'
import { unsigned } from '../text/sayGapText.js'
import { wrapText } from '../text/wrapText.js'
import { plotCurve } from './plotCurve.js'
import { plotTable } from './plotTable.js'
import { inkText, type Style } from './style.js'

/** The whole answer of `project`: target, first and steady run, change against the machine as tested, conclusion. */
export function sayProjection(projection: Projection, workload: Workload, style: Style): string {
  const parts = [inkText(`${projection.chip} in another chassis, ${workload.name}`, 'strong', style)]
  if (projection.sweep.length > 0)
    parts.push(plotSweep(projection, workload, style), sweepTable(projection, style))
  else parts.push(plotTable(ROW_COLUMNS, runRows(projection, workload), style))
  parts.push(wrapText(concludeProjection(projection, workload), style.width, 2))
  return parts.join('\n\n')
}

/** The projection in one or two sentences that can be quoted. */
function concludeProjection(projection: Projection, workload: Workload): string {
  const { first, steady, change, target } = projection
  if (projection.sweep.length > 1) return concludeSweep(projection, workload)
  const verb = workload.better === 'lower' ? 'takes' : 'scores'
  const text =
    `In a chassis that sustains ${sayGivenPower(target.sustainedW)}${sayEarly(target)}, ${projection.chip} ${verb} ` +
    `${sayScore(steady.score, workload.score)} in a long run${change.steadyPct ? `, ${sayChange(change.steadyPct, workload)},` : ''} ` +
    `and ${sayScore(first.score, workload.score)} in the first run.`
  return `${text}${sayExtrapolation(projection)}`
}

function concludeSweep(projection: Projection, workload: Workload): string {
  const [lowest, highest] = [projection.sweep[0]!, projection.sweep.at(-1)!]
  const from = `${sayScore(lowest.steady.score, workload.score)} in a chassis that sustains ${sayGivenPower(lowest.sustainedW)}`
  const to = `${sayScore(highest.steady.score, workload.score)} in one that sustains ${sayGivenPower(highest.sustainedW)}`
  return `The steady score goes from ${from} to ${to}.${sayExtrapolation(projection)}`
}

/** `26 % more than as tested (24 to 29 %)`; for a time, `18 % less time than as tested (16 to 20 %)`. */
function sayChange(percent: Estimate, workload: Workload): string {
  const size = unsigned(percent)
  const word = percent.value < 0 ? 'less' : 'more'
  const what = workload.better === 'lower' ? `${word} time` : word
  return `${sayValue(size, '%')} ${what} than as tested (${sayInterval(size, 'percent')}${NO_BREAK}%)`
}

function sayEarly(target: TargetLimits): string {
  const early: string[] = []
  if (target.burstW > target.sustainedW) early.push(held('burst', target.burstW, target.burstForS))
  if (target.shortTermW !== null && target.shortTermW > target.sustainedW) {
    early.push(held('short-term', target.shortTermW, target.shortTermForS))
  }
  return early.length > 0 ? ` (${early.join(', ')})` : ''
}

function held(stage: string, powerW: number, forS: number | null): string {
  return `${stage} ${sayGivenPower(powerW)}${forS === null ? '' : ` for ${sayDuration(forS)}`}`
}

function sayExtrapolation(projection: Projection): string {
  const { outside, measuredRangeW, targetRangeW } = projection.extrapolation
  if (!outside) return ''
  return (
    ` Part of this is an extrapolation: the chip was measured from ${sayPowers(measuredRangeW)}, ` +
    `and the target needs ${sayPowers(targetRangeW)}. The intervals are wider for it.`
  )
}

const ROW_COLUMNS = [
  { heading: '' },
  { heading: 'first run', align: 'right' },
  { heading: 'steady', align: 'right' },
] as const

function runRows(projection: Projection, workload: Workload): string[][] {
  const { first, steady, change } = projection
  const row = (
    name: string,
    pick: (run: ProjectedRun) => Estimate | null,
    unit = '',
    kind?: FigureKind,
  ): string[] => [
    name,
    ...[first, steady].map((run) => {
      const estimate = pick(run)
      return estimate ? sayEstimate(estimate, unit, kind) : 'unknown'
    }),
  ]
  return [
    row(`score, ${workload.score}`, (run) => run.score, '', 'score'),
    row('duration', (run) => run.durationS, 's'),
    row('mean power', (run) => run.meanW, 'W'),
    row('energy', (run) => run.energyWh, 'Wh'),
    row(workload.better === 'lower' ? 'runs per Wh' : 'score per watt', (run) => run.perWatt, '', 'score'),
    [
      'change from as tested',
      ...[change.firstPct, change.steadyPct].map((e) => (e ? sayEstimate(e, '%') : 'not measured')),
    ],
  ]
}

function plotSweep(projection: Projection, workload: Workload, style: Style): string {
  const steady = projection.sweep.map((point) => point.steady.score)
  const [from, to] = projection.extrapolation.measuredRangeW
  const plot = plotCurve(
    {
      curves: [
        {
          x: projection.sweep.map((point) => point.sustainedW),
          value: steady.map((estimate) => estimate.value),
          low: steady.map((estimate) => estimate.low),
          high: steady.map((estimate) => estimate.high),
        },
      ],
      spans: [{ from, to, text: 'measured' }],
      xUnit: 'W',
    },
    style,
  )
  return `  Steady score, ${workload.score}, against sustained power; dots bound the 90 % interval\n${plot}`
}

function sweepTable(projection: Projection, style: Style): string {
  const roomy = style.width >= 100
  const rows = projection.sweep.map((point) => [
    sayGivenPower(point.sustainedW),
    sayScore(point.first.score),
    sayScore(point.steady.score),
    ...(roomy ? [point.steady.durationS ? sayEstimate(point.steady.durationS, 's') : 'unknown'] : []),
  ])
  return plotTable(roomy ? SWEEP_COLUMNS : SWEEP_COLUMNS.slice(0, 3), rows, style)
}

const SWEEP_COLUMNS = [
  { heading: 'sustains', align: 'right' },
  { heading: 'first run', align: 'right' },
  { heading: 'steady', align: 'right' },
  { heading: 'steady run takes', align: 'right' },
] as const
