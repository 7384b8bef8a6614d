import type { Chip } from '../../physics/chip/chip.js'
import type { Chassis } from '../../physics/loop/chassis.js'

/** What is known of a machine when its next test is planned: from a sheet, or from a log alone (then `chip` is null). */
export interface PlanRequest {
  readonly chassis: Chassis
  readonly chip: Chip | null
  /** The loop as tested; `runS` is the length of a run, null when there were none. */
  readonly loop: { readonly gapS: number; readonly runS: number | null }
  /** Whether the log showed settled power, and how long its load lasted, s; of power that swings, the length of its shorter phase, s. */
  readonly settled: { readonly reached: boolean; readonly loadS: number; readonly shorterPhaseS?: number }
  /** Relative standard deviation of a run's score; null when unknown. */
  readonly scatter: number | null
}
