import type { Estimate } from '../numeric/statistics/estimate.js'
import type { HoldLabel } from '../segment/load.js'
import { heldByNote } from '../sheet/heldByNote.js'
import type { Warning } from '../warnings.js'
import { fitTestChassis } from './fitTestChassis.js'
import { mainLoad } from './mainLoad.js'
import { measuredScores } from './measuredScores.js'
import type { ReadTest, TestedMachine } from './testedMachine.js'

/** What a test measured of its machine. Nothing in it comes from a model of chip or chassis. */
export interface AsTested {
  readonly machine: string
  /** Where the power settles, as `stages` has it; of levels noted by hand the last. */
  readonly sustainedW: Estimate
  /** What held the power in the end; null for levels noted by hand without a note of it. */
  readonly heldBy: HoldLabel | null
  readonly firstScore: Estimate | null
  readonly steadyScore: Estimate | null
  /** Warnings about this test alone. */
  readonly warnings: readonly Warning[]
}

/** The machines of all sheets of a fit as they were tested, in the order of the sheets. */
export function machinesAsTested(machine: TestedMachine): readonly AsTested[] {
  return machine.tests.map((test, index) => {
    const load = mainLoad(test)?.load
    const { asTested } = measuredScores(test, machine.scatter.value)
    return {
      machine: test.sheet.machine,
      sustainedW: load?.sustained.levelW ?? sustainedOf(machine, index),
      heldBy: load === undefined ? notedHold(test) : (load.stages.at(-1)?.heldBy.label ?? 'undetermined'),
      ...asTested,
      warnings: machine.testWarnings[index] ?? [],
    }
  })
}

/** The machine that is spoken of, as tested. */
export function asTested(machine: TestedMachine): AsTested {
  return machinesAsTested({ ...machine, tests: machine.tests.slice(0, 1) })[0]!
}

/** What held the last noted level, as far as it was noted. */
function notedHold(test: ReadTest): HoldLabel | null {
  const noted = test.trials.find((trial) => trial.kind === 'noted')
  const cappedPct = noted?.trial.levels.at(-1)?.cappedPct ?? null
  return cappedPct === null ? null : heldByNote(cappedPct)
}

function sustainedOf(machine: TestedMachine, index: number): Estimate {
  return index === 0 ? machine.chassis.sustainedW : fitTestChassis(machine.tests[index]!).chassis.sustainedW
}
