import { InputError } from '../errors.js'
import { fitChassis } from '../fit/chassis/fitChassis.js'
import type { Chassis } from '../physics/loop/chassis.js'
import { heldByNote } from '../sheet/heldByNote.js'
import type { Warning } from '../warnings.js'
import { chassisFromLevels } from './chassisFromLevels.js'
import { mainTrials } from './mainLoad.js'
import type { ReadTest } from './testedMachine.js'

/** What a test says of its chassis. */
export interface TestChassis {
  readonly chassis: Chassis
  /** Power at which the workload asked for no more, W; null when none was seen. */
  readonly demandW: number | null
  readonly warnings: readonly Warning[]
}

/**
 * The chassis of a test in its first power mode (`mainTrials`): fitted from the logs, or, where there is no log with a load, made from levels noted by hand.
 *
 * @param wanted.thermal - whether the thermal network is wanted where it decides nothing; see `fitChassis`
 * @throws InputError `no-load` when there is neither
 */
export function fitTestChassis(test: ReadTest, wanted: { readonly thermal?: boolean } = {}): TestChassis {
  const { chassis: name, ambientC, file } = test.sheet
  const logged = mainTrials(test).filter((trial) => trial.kind === 'logged')
  if (logged.some((trial) => trial.loads.length > 0)) {
    const trials = logged.map(({ log, loads, trial }) => ({ trace: log.trace, loads, mode: trial.mode }))
    const fit = fitChassis({ name, trials, ambientC, ...wanted })
    return { ...fit, warnings: [...mixedModes(test), ...fit.warnings] }
  }
  const noted = test.trials.find((trial) => trial.kind === 'noted')
  if (noted === undefined) {
    throw new InputError(
      'no-load',
      'no log of this sheet holds a load: the power never rises clearly above idle',
      {
        where: { file },
        remedy: 'look at the log with: holdwatt stages LOG; perhaps another power column is meant',
      },
    )
  }
  const { levels } = noted.trial
  const idleW = SUPPOSED_IDLE_SHARE * levels.at(-1)!.powerW
  return { chassis: chassisFromLevels({ name, levels, idleW }), demandW: notedDemandW(test), warnings: [] }
}

/** Which of several modes the chassis is of. */
function mixedModes(test: ReadTest): readonly Warning[] {
  const nameOf = ({ trial }: ReadTest['trials'][number]) => trial.mode ?? 'unnamed'
  const modes = [...new Set(test.trials.map(nameOf))]
  return modes.length > 1 ? [{ code: 'modes-mixed', modes, main: nameOf(mainTrials(test)[0]!) }] : []
}

/**
 * Power at which the workload asked for no more, by notes of how long the power was at its limit: the highest of the levels where it was hardly
 * ever there, when no level above was held.
 */
function notedDemandW(test: ReadTest): number | null {
  const levels = test.trials.flatMap((trial) => (trial.kind === 'noted' ? trial.trial.levels : []))
  const free = levels.filter(({ cappedPct }) => cappedPct !== null && heldByNote(cappedPct) === 'demand')
  if (free.length === 0) return null
  const demandW = Math.max(...free.map(({ powerW }) => powerW))
  return levels.some(({ powerW }) => powerW > demandW) ? null : demandW
}

/** Idle power as a share of the sustained, where nobody noted it; common practice, no source. */
const SUPPOSED_IDLE_SHARE = 0.1
