import type { TestedRun } from '../../machine/testedMachine.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { ChipPoint } from '../../physics/chip/chipAt.js'
import { type DataTable, dataTable } from './dataTable.js'

/** The score curve of a chip, and the runs that it was fitted to. */
export function fitTables(
  chip: { readonly name: string; readonly workload: Workload },
  curve: readonly ChipPoint[],
  runs: readonly TestedRun[],
): readonly DataTable[] {
  const unit = chip.workload.score
  return [
    dataTable(`${chip.name}, ${chip.workload.name}: score by power`, curve, [
      { name: 'power', unit: 'W', of: (point) => point.powerW },
      { name: 'score', unit, interval: true, kind: 'score', of: (point) => point.score },
      { name: 'score per watt', interval: true, kind: 'score', of: (point) => point.perWatt },
      { name: 'elasticity', interval: true, kind: 'score', of: (point) => point.elasticity },
    ]),
    dataTable(`${chip.name}, ${chip.workload.name}: runs`, runs, [
      { name: 'sheet', of: (run) => run.sheet },
      { name: 'start', unit: 's', of: (run) => tenths(run.startS) },
      { name: 'end', unit: 's', of: (run) => tenths(run.endS) },
      { name: 'mean power', unit: 'W', of: (run) => Number(run.meanW.toFixed(2)) },
      { name: 'score', unit, of: (run) => run.score },
      ...(runs.some(({ of }) => of !== undefined)
        ? [{ name: 'mean of', unit: 'runs', of: (run: TestedRun) => run.of ?? 1 }]
        : []),
      { name: 'fitted score', unit, of: (run) => Number(run.fittedScore.toPrecision(5)) },
    ]),
  ]
}

function tenths(seconds: number | null): number | null {
  return seconds === null ? null : Number(seconds.toFixed(1))
}
