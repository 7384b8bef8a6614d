import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { GivesWay, HeatControl } from './loopMachine.js'

/** A running-average power limit: a' = (P - a)/tau may not exceed `limitW`. */
export interface PowerBudget {
  readonly limitW: Estimate
  readonly tauS: Estimate
  /** Time constant with which the average falls while power is below it; left out: `tauS`. */
  readonly recoveryS?: Estimate
  /** How it brings power down; left out: as the chassis says. */
  readonly givesWay?: GivesWay
}

/** Foster network from power to temperature, and the ceiling at which heat holds the power down. */
export interface ThermalModel {
  readonly resistanceKPerW: Estimate
  readonly stages: readonly { readonly rKPerW: number; readonly tauS: number }[]
  /** Temperature at which power gives way, degrees C; null when it was never reached. */
  readonly ceilingC: number | null
  readonly ambientC: number
  /** Temperature at 0 W in that ambient, as the sensor would show it; left out: the ambient itself. */
  readonly zeroPowerC?: number
}

/** What decides which watts are allowed, and for how long (section 3 of cli/README.md, `fit`). */
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
  /** Time constant with which the controller brings power down to a new limit, s; left out or 0: at once. */
  readonly responseS?: number
  /** How budgets bring power down; left out: with their headroom. */
  readonly givesWay?: GivesWay
  /** Heat without a temperature column: a weighted sum of running averages that may not exceed its limit. */
  readonly heatBudget?: HeatBudget | null
  /** How power follows the temperature (or the heat budget) at its ceiling; left out: exactly. */
  readonly heatControl?: HeatControl | null
}

/**
 * What a thermal network with a ceiling does to the power, told in watts alone: sum share_i a_i <= limit, a_i running
 * averages with time constants tau_i. Shares add up to 1.
 */
export interface HeatBudget {
  readonly limitW: Estimate
  readonly terms: readonly { readonly share: number; readonly tauS: number }[]
}
