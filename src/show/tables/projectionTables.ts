import type { Workload } from '../../physics/chip/chip.js'
import type { Projection } from '../../predict/projection/projection.js'
import { type DataTable, dataTable } from './dataTable.js'

/** The projected runs; with a sweep, a row for each sustained power. */
export function projectionTables(projection: Projection, workload: Workload): readonly DataTable[] {
  const { target, first, steady, change, sweep } = projection
  const title = `${projection.chip}, ${workload.name}: projected`
  const rows =
    sweep.length > 0
      ? sweep.flatMap((at) => [
          { sustainedW: at.sustainedW, name: 'first', run: at.first, changePct: null },
          { sustainedW: at.sustainedW, name: 'steady', run: at.steady, changePct: null },
        ])
      : [
          { sustainedW: target.sustainedW, name: 'first', run: first, changePct: change.firstPct },
          { sustainedW: target.sustainedW, name: 'steady', run: steady, changePct: change.steadyPct },
        ]
  const changes =
    sweep.length > 0
      ? []
      : [
          {
            name: 'change from as tested',
            unit: '%',
            interval: true as const,
            of: (row: (typeof rows)[number]) => row.changePct,
          },
        ]
  return [
    dataTable(title, rows, [
      { name: 'sustained power', unit: 'W', of: (row) => Number(row.sustainedW.toFixed(2)) },
      { name: 'run', of: (row) => row.name },
      { name: 'score', unit: workload.score, interval: true, kind: 'score', of: ({ run }) => run.score },
      { name: 'duration', unit: 's', interval: true, of: ({ run }) => run.durationS },
      { name: 'mean power', unit: 'W', interval: true, of: ({ run }) => run.meanW },
      { name: 'energy', unit: 'Wh', interval: true, of: ({ run }) => run.energyWh },
      { name: 'score per watt', interval: true, kind: 'score', of: ({ run }) => run.perWatt },
      ...changes,
    ]),
  ]
}
