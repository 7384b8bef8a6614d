import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { type DataTable, dataTable } from './dataTable.js'

/** The machines of each workload, in falling order of the watts that they sustain. */
export function surveyTables(workloads: readonly WorkloadSurvey[]): readonly DataTable[] {
  return workloads.map(({ workload, atW, machines }) =>
    dataTable(`${workload.name}${atW === null ? '' : `, scores at ${atW} W`}`, machines, [
      { name: 'machine', of: (machine) => machine.machine },
      { name: 'chip', of: (machine) => machine.chip },
      { name: 'chassis', of: (machine) => machine.chassis },
      { name: 'sustained power', unit: 'W', interval: true, of: (machine) => machine.sustainedW },
      {
        name: atW === null ? 'score at equal power' : `score at ${atW} W`,
        unit: workload.score,
        interval: true,
        kind: 'score',
        of: (machine) => machine.score,
      },
      {
        name: 'steady score',
        unit: workload.score,
        interval: true,
        kind: 'score',
        of: (machine) => machine.steadyScore,
      },
    ]),
  )
}
