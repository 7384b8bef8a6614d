import { asTested } from '../../machine/asTested.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { HoldLabel } from '../../segment/load.js'

/** One machine of a comparison: what was fitted to it, and how its test was looped. */
export interface GapMachine {
  readonly name: string
  readonly chip: Chip
  readonly chassis: Chassis
  readonly loop: { readonly runs: number; readonly gapS: number }
  /** What held the power in the end. */
  readonly heldBy: HoldLabel
  /** What the test itself measured; left out where there is none. */
  readonly measured?: GapMeasured
}

/** Sustained power and steady score as measured; the score is null without enough settled runs. */
export interface GapMeasured {
  readonly sustainedW: Estimate
  readonly steadyScore: Estimate | null
}

/** A machine as tested in the form in which `explainGap` takes it. */
export function gapMachine(tested: TestedMachine): GapMachine {
  const { machine, chip, chassis, loop } = tested
  const { heldBy, sustainedW, steadyScore } = asTested(tested)
  return {
    name: machine,
    chip,
    chassis,
    loop,
    heldBy: heldBy ?? 'undetermined',
    measured: { sustainedW, steadyScore },
  }
}
