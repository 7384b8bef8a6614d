import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { ProjectedRun, Projection } from '../../predict/projection/projection.js'
import type { FigureKind } from '../figures/digits.js'
import { sayEstimate, sayGivenPower, sayScore } from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { concludeProjection } from '../text/concludeProjection.js'
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
