import type { Chip } from '../../physics/chip/chip.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { type DataTable, dataTable } from './dataTable.js'

/** One fit of many. */
interface Fit {
  readonly sheets: readonly string[]
  readonly machine: string
  readonly chip: Chip
  readonly chassis: Chassis
  readonly runs: number
}

/** Many fits, a row each: what was measured, what the chassis sustains, and the score of the chip at that power. */
export function fitsTable(fits: readonly Fit[]): DataTable {
  return dataTable('Fits', fits, [
    { name: 'sheets', of: ({ sheets }) => sheets.join(' ') },
    { name: 'machine', of: ({ machine }) => machine },
    { name: 'chip', of: ({ chip }) => chip.name },
    { name: 'workload', of: ({ chip }) => chip.workload.name },
    { name: 'runs', of: ({ runs }) => runs },
    { name: 'measured from', unit: 'W', of: ({ chip }) => Number(chip.measuredRangeW[0].toFixed(1)) },
    { name: 'measured to', unit: 'W', of: ({ chip }) => Number(chip.measuredRangeW[1].toFixed(1)) },
    { name: 'sustained power', unit: 'W', interval: true, of: ({ chassis }) => chassis.sustainedW },
    {
      name: 'score at it',
      interval: true,
      kind: 'score',
      of: ({ chip, chassis }) => chipAt(chip, chassis.sustainedW.value)?.score ?? null,
    },
    { name: 'score unit', of: ({ chip }) => chip.workload.score },
  ])
}
