import type { ChipPoint } from '../curves/chipAt.js'
import type { TestedMachine } from '../machine/testedMachine.js'

/** The fields of `fit --json` (contract section 3). */
export function fitDocument(machine: TestedMachine, curve: readonly ChipPoint[]): object {
  const { chip, chassis, runs, scatter, asTested, loop } = machine
  const { name, workload, measuredRangeW, demandW, workPerRun } = chip
  return {
    chip: { name, workload, measuredRangeW, demandW, workPerRun, scatter, curve },
    chassis,
    runs: runs.map(({ sheet, startS, endS, meanW, score, fittedScore, spread, placedBy }) => {
      return { sheet, startS, endS, meanW, score, fittedScore, spread, placedBy }
    }),
    asTested,
    loop,
  }
}
