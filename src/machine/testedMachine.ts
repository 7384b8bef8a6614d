import type { CurveCriticism } from '../fit/chip/criticiseCurve.js'
import type { FittedRun } from '../fit/chip/fitChip.js'
import type { ParsedLog } from '../log/trace.js'
import type { Estimate } from '../numeric/statistics/estimate.js'
import type { Chip } from '../physics/chip/chip.js'
import type { Chassis } from '../physics/loop/chassis.js'
import type { Load } from '../segment/load.js'
import type { PlacedRun } from '../sheet/placedRun.js'
import type { LoggedTrial, NotedTrial, TestSheet } from '../sheet/testSheet.js'
import type { Warning } from '../warnings.js'

/** A trial with its log read, its loads found and its runs placed. */
export interface ReadTrial {
  readonly kind: 'logged'
  readonly trial: LoggedTrial
  /** Path of the log as opened. */
  readonly path: string
  readonly log: ParsedLog
  readonly loads: readonly Load[]
  readonly runs: readonly PlacedRun[]
}

/** A trial of levels written down by hand: there is nothing to read. */
export interface ReadNotedTrial {
  readonly kind: 'noted'
  readonly trial: NotedTrial
}

/** A test sheet with everything it names read from disk. */
export interface ReadTest {
  readonly sheet: TestSheet
  readonly trials: readonly (ReadTrial | ReadNotedTrial)[]
  readonly warnings: readonly Warning[]
}

/** How the workload was looped, for repeating it elsewhere. */
export interface TestedLoop {
  readonly runs: number
  readonly gapS: number
}

/** A run as fitted, with the trial and the sheet that it belongs to. */
export interface TestedRun extends FittedRun {
  readonly placedBy: PlacedRun['placedBy'] | 'noted'
}

/** One machine as tested: what was read, the chip and the chassis fitted from it, and how well they fit. */
export interface TestedMachine {
  readonly machine: string
  /** The sheets that were fitted together; the first is the machine that is spoken of. */
  readonly tests: readonly ReadTest[]
  readonly chip: Chip
  readonly chassis: Chassis
  readonly runs: readonly TestedRun[]
  /** Run-to-run scatter, relative standard deviation. */
  readonly scatter: Estimate
  /** How well the curve foretells levels that are left out, beside simple forms; null with fewer than four levels, or where nobody asked. */
  readonly criticism: CurveCriticism | null
  readonly loop: TestedLoop
  /** First and steady score of the first sheet as measured, in the workload's unit; null when there was none. */
  readonly asTested: { readonly firstScore: Estimate | null; readonly steadyScore: Estimate | null }
  readonly warnings: readonly Warning[]
  /** Those of them that are about one test alone, in the order of `tests`. */
  readonly testWarnings: readonly (readonly Warning[])[]
}
