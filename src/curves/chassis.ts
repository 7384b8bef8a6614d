import type { Estimate } from '../numeric/estimate.js'

/** A running-average power limit: a' = (P - a)/tau may not exceed `limitW`. */
export interface PowerBudget {
  readonly limitW: Estimate
  readonly tauS: Estimate
}

/** Foster network from power to temperature, and the ceiling at which heat holds the power down. */
export interface ThermalModel {
  readonly resistanceKPerW: Estimate
  readonly stages: readonly { readonly rKPerW: number; readonly tauS: number }[]
  /** Temperature at which power gives way, degrees C; null when it was never reached. */
  readonly ceilingC: number | null
  readonly ambientC: number
}

/** What decides which watts are allowed, and for how long (contract section 3, `fit`). */
export interface Chassis {
  readonly name: string
  /** Power between loads, W. */
  readonly idleW: number
  readonly burstW: Estimate
  readonly burstHoldS: Estimate | null
  readonly shortTermW: Estimate | null
  readonly shortTermHoldS: Estimate | null
  readonly sustainedW: Estimate
  readonly budgets: readonly PowerBudget[]
  readonly thermal: ThermalModel | null
  /** Steps down after a set time at load (neither a budget nor heat): power above `limitW` ends at `afterS`. */
  readonly timedSteps: readonly { readonly limitW: Estimate; readonly afterS: Estimate }[]
}
