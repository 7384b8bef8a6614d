import type { Chassis } from '../curves/chassis.js'
import type { Warning } from '../warnings.js'
import type { ReadTest } from './testedMachine.js'

interface TestChassis {
  readonly chassis: Chassis
  /** Power at which the workload asked for no more, W; null when none was seen. */
  readonly demandW: number | null
  readonly warnings: readonly Warning[]
}

export function fitTestChassis(_test: ReadTest): TestChassis {
  throw new Error('waiting for fit/fitChassis')
}
