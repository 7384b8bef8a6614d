import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { HeldLimits } from '../../physics/loop/budgetsFromLimits.js'
import type { Warning } from '../../warnings.js'
import type { Caution } from './caution.js'

/** One run as projected: score in the workload's unit; `durationS` and `energyWh` are null when the work of a run is unknown. */
export interface ProjectedRun {
  readonly score: Estimate
  readonly durationS: Estimate | null
  readonly meanW: Estimate
  readonly energyWh: Estimate | null
  readonly perWatt: Estimate
}

/**
 * Limits that a chassis would hold; holds are those of an uninterrupted load from idle, each counted from the start of its
 * own stage (as in a sheet's `noted` levels).
 */
export type TargetLimits = HeldLimits

/** Section 3 of cli/README.md, `project`. */
export interface Projection {
  readonly chip: string
  readonly target: TargetLimits
  readonly first: ProjectedRun
  readonly steady: ProjectedRun
  readonly change: { readonly firstPct: Estimate | null; readonly steadyPct: Estimate | null }
  readonly extrapolation: {
    readonly measuredRangeW: readonly [number, number]
    readonly targetRangeW: readonly [number, number]
    readonly outside: boolean
  }
  readonly sweep: readonly {
    readonly sustainedW: number
    readonly first: ProjectedRun
    readonly steady: ProjectedRun
  }[]
  /** Median projected power over time of the loop, for drawing: seconds and watts, equal lengths. */
  readonly trace: { readonly timesS: readonly number[]; readonly powerW: readonly number[] }
  readonly warnings: readonly Warning[]
  readonly cautions: readonly Caution[]
}
