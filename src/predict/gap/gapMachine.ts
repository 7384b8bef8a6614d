import type { TestedMachine } from '../../machine/testedMachine.js'
import type { Chip } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { HoldLabel, Load } from '../../segment/load.js'

/** One machine of a comparison: what was fitted to it, and how its test was looped. */
export interface GapMachine {
  readonly name: string
  readonly chip: Chip
  readonly chassis: Chassis
  readonly loop: { readonly runs: number; readonly gapS: number }
  /** What held the power in the end. */
  readonly heldBy: HoldLabel
}

/** A machine as tested in the form in which `explainGap` takes it. */
export function gapMachine(tested: TestedMachine): GapMachine {
  const { machine, chip, chassis, loop } = tested
  const heldBy = mainLoad(tested)?.stages.at(-1)?.heldBy.label ?? 'undetermined'
  return { name: machine, chip, chassis, loop, heldBy }
}

/** The longest load of the first sheet: the one that the chassis is fitted to; undefined when there is no log. */
export function mainLoad(tested: TestedMachine): Load | undefined {
  const loads = (tested.tests[0]?.trials ?? []).flatMap((trial) =>
    trial.kind === 'logged' ? trial.loads : [],
  )
  return loads.reduce<Load | undefined>(
    (best, load) => (best === undefined || load.endS - load.startS > best.endS - best.startS ? load : best),
    undefined,
  )
}
