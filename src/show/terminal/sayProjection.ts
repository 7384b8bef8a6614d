import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { ProjectedRun, Projection, TargetLimits } from '../../predict/projection/projection.js'
import { sayDuration } from '../text/sayDuration.js'
import { sayEstimate, sayInterval, sayNumber, sayValue } from '../text/sayEstimate.js'
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

/** The projection in one or two sentences, fit to be quoted. */
function concludeProjection(projection: Projection, workload: Workload): string {
  const { first, steady, change, target } = projection
  if (projection.sweep.length > 1) return concludeSweep(projection, workload)
  const text =
    `In a chassis that holds ${sayNumber(target.sustainedW, 3, 'W')}${sayEarly(target)}: ` +
    `first run ${sayEstimate(first.score, workload.score)}, steady ${sayEstimate(steady.score, workload.score)}` +
    `${change.steadyPct ? `, ${sayChange(change.steadyPct, workload)}` : ''}.`
  return `${text}${sayExtrapolation(projection)}`
}

function concludeSweep(projection: Projection, workload: Workload): string {
  const [lowest, highest] = [projection.sweep[0]!, projection.sweep.at(-1)!]
  const from = `${sayEstimate(lowest.steady.score, workload.score)} in a chassis that holds ${sayNumber(lowest.sustainedW, 3, 'W')}`
  const to = `${sayEstimate(highest.steady.score, workload.score)} in one that holds ${sayNumber(highest.sustainedW, 3, 'W')}`
  return `The steady score goes from ${from} to ${to}.${sayExtrapolation(projection)}`
}

/** `26 % above this machine as tested (24 to 29)`; for a time, `18 % less time than this machine as tested`. */
function sayChange(percent: Estimate, workload: Workload): string {
  const down = percent.value < 0
  const size = down ? { ...percent, value: -percent.value, low: -percent.high, high: -percent.low } : percent
  const words = workload.better === 'lower' ? [`less time than`, 'more time than'] : ['below', 'above']
  return `${sayValue(size, '%')} ${words[down ? 0 : 1]} this machine as tested (${sayInterval(size)})`
}

function sayEarly(target: TargetLimits): string {
  const early: string[] = []
  if (target.burstW > target.sustainedW) early.push(held('bursts to', target.burstW, target.burstForS))
  if (target.shortTermW !== null && target.shortTermW > target.sustainedW) {
    early.push(held('allows', target.shortTermW, target.shortTermForS))
  }
  return early.length > 0 ? ` (${early.join(', ')})` : ''
}

function held(verb: string, powerW: number, forS: number | null): string {
  return `${verb} ${sayNumber(powerW, 3, 'W')}${forS === null ? '' : ` for ${sayDuration(forS)}`}`
}

function sayExtrapolation(projection: Projection): string {
  const { outside, measuredRangeW, targetRangeW } = projection.extrapolation
  if (!outside) return ''
  return (
    ` Part of this lies outside what was measured: runs were seen from ${sayNumber(measuredRangeW[0], 3)} to ` +
    `${sayNumber(measuredRangeW[1], 3, 'W')}, the target asks for ${sayNumber(targetRangeW[0], 3)} to ` +
    `${sayNumber(targetRangeW[1], 3, 'W')}; the intervals are wider for it.`
  )
}

const ROW_COLUMNS = [
  { heading: '' },
  { heading: 'first run', align: 'right' },
  { heading: 'steady', align: 'right' },
] as const

function runRows(projection: Projection, workload: Workload): string[][] {
  const { first, steady, change } = projection
  const row = (name: string, pick: (run: ProjectedRun) => Estimate | null) => [
    name,
    ...[first, steady].map((run) => {
      const estimate = pick(run)
      return estimate ? sayEstimate(estimate) : 'unknown'
    }),
  ]
  return [
    row(`score, ${workload.score}`, (run) => run.score),
    row('duration, s', (run) => run.durationS),
    row('mean power, W', (run) => run.meanW),
    row('energy, Wh', (run) => run.energyWh),
    row(workload.better === 'lower' ? 'runs per watt-hour' : 'score per watt', (run) => run.perWatt),
    [
      'against as tested, %',
      ...[change.firstPct, change.steadyPct].map((e) => (e ? sayEstimate(e) : 'not measured')),
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
  return `  Steady score, ${workload.score}, against the watts that the chassis holds\n${plot}`
}

function sweepTable(projection: Projection, style: Style): string {
  const rows = projection.sweep.map((point) => [
    sayNumber(point.sustainedW, 3, 'W'),
    sayEstimate(point.first.score),
    sayEstimate(point.steady.score),
    sayValue(point.steady.perWatt),
    point.steady.durationS ? sayValue(point.steady.durationS, 's') : '',
  ])
  return plotTable(SWEEP_COLUMNS, rows, style)
}

const SWEEP_COLUMNS = [
  { heading: 'holds', align: 'right' },
  { heading: 'first run', align: 'right' },
  { heading: 'steady', align: 'right' },
  { heading: 'per watt', align: 'right' },
  { heading: 'takes', align: 'right' },
] as const
