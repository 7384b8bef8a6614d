import type { TestedMachine } from '../../machine/testedMachine.js'
import type { ChipPoint } from '../../physics/chip/chipAt.js'

/** The fields of `fit --json` (section 3 of cli/README.md). */
export function fitDocument(machine: TestedMachine, curve: readonly ChipPoint[]): object {
  const { chip, chassis, runs, scatter, criticism, asTested, loop } = machine
  const { name, workload, measuredRangeW, demandW, workPerRun, referenceC = null } = chip
  return {
    chip: { name, workload, measuredRangeW, demandW, referenceC, workPerRun, scatter, curve, criticism },
    chassis,
    runs: runs.map(({ sheet, startS, endS, meanW, score, of, fittedScore, spread, placedBy }) => {
      const counted = of === undefined ? {} : { of }
      return { sheet, startS, endS, meanW, score, ...counted, fittedScore, spread, placedBy }
    }),
    asTested,
    loop,
  }
}
