import type { Chassis } from '../curves/chassis.js'
import type { Warning } from '../warnings.js'
import { chassisFromLevels } from './chassisFromLevels.js'
import type { ReadTest } from './testedMachine.js'

interface TestChassis {
  readonly chassis: Chassis
  /** Power at which the workload asked for no more, W; null when none was seen. */
  readonly demandW: number | null
  readonly warnings: readonly Warning[]
}

// PROVISIONAL until fit/fitChassis lands
export function fitTestChassis(test: ReadTest): TestChassis {
  const read = test.trials.find((trial) => trial.kind === 'logged' && trial.loads.length > 0)
  if (read?.kind !== 'logged') {
    const noted = test.trials.find((trial) => trial.kind === 'noted')
    if (noted?.kind !== 'noted') throw new Error('no load')
    return {
      chassis: chassisFromLevels({ name: test.sheet.chassis, levels: noted.trial.levels, idleW: 5 }),
      demandW: null,
      warnings: [],
    }
  }
  const load = read.loads.reduce((a, b) => (b.endS - b.startS > a.endS - a.startS ? b : a))
  const levels = load.stages.map((stage) => ({ powerW: stage.levelW.value, forS: stage.endS - stage.startS }))
  let top = Number.POSITIVE_INFINITY
  const falling = levels.map((level) => {
    top = Math.min(top, level.powerW)
    return { ...level, powerW: top }
  })
  falling[falling.length - 1]!.powerW = Math.min(falling.at(-1)!.powerW, load.sustained.levelW.value)
  return {
    chassis: chassisFromLevels({ name: test.sheet.chassis, levels: falling, idleW: 5 }),
    demandW:
      load.stages.length === 1 && load.stages[0]!.heldBy.label === 'demand'
        ? load.sustained.levelW.value
        : null,
    warnings: [],
  }
}
