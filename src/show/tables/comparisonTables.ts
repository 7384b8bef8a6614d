import type { Workload } from '../../physics/chip/chip.js'
import type { ChipComparison } from '../../predict/comparison/compareChips.js'
import { type DataTable, dataTable } from './dataTable.js'

/** Chips at equal power, and the machines as tested. */
export function comparisonTables(
  comparison: Pick<ChipComparison, 'at' | 'machines'>,
  workload: Workload,
): readonly DataTable[] {
  const unit = workload.score
  const atEqual = comparison.at.flatMap((at) => at.scores.map((chip) => ({ at, chip })))
  return [
    dataTable(`${workload.name}: at equal power`, atEqual, [
      { name: 'power', unit: 'W', of: ({ at }) => at.powerW },
      { name: 'chip', of: ({ chip }) => chip.chip },
      { name: 'machine', of: ({ chip }) => chip.machine },
      { name: 'score', unit, interval: true, kind: 'score', of: ({ chip }) => chip.score },
      { name: 'score per watt', interval: true, kind: 'score', of: ({ chip }) => chip.perWatt },
      {
        name: 'beyond the measured powers',
        of: ({ at, chip }) => (at.extrapolated.includes(chip.chip) ? 'yes' : 'no'),
      },
    ]),
    dataTable(`${workload.name}: the machines as tested`, comparison.machines, [
      { name: 'machine', of: (machine) => machine.machine },
      { name: 'chip', of: (machine) => machine.chip },
      {
        name: 'sustained power',
        unit: 'W',
        interval: true,
        of: ({ sustained }) => sustained,
      },
      { name: 'steady score', unit, interval: true, kind: 'score', of: (machine) => machine.steadyScore },
    ]),
  ]
}
