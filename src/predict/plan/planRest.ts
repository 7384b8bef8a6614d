import { findRoot } from '../../numeric/findRoot.js'
import { ESTIMATE_EDGE, type Estimate, estimateFromLogError } from '../../numeric/statistics/estimate.js'
import { stagesOfShares, type ThermalStage } from '../../physics/chassis/thermalNetwork.js'
import { USUAL_WARMING } from '../../physics/chip/leakageHeat.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { PlanReason } from './planReason.js'

/**
 * How long a machine must rest until its next test begins cold: until running averages and the temperature have lost 98 % of
 * what a settled load had added to them.
 *
 * An average that stood at its limit needs tau ln 50, of the slower of its two time constants: short pauses show only that it has
 * recovered; a network, whose stages cool side by side, the time that is found by
 * bisection. Without a thermal network a usual heat sink's is supposed where it is the slower.
 *
 * @source a' = (P - a)/tau at rest; Foster network at rest
 */
export function planRest(chassis: Chassis): { readonly restS: Estimate; readonly reason: PlanReason } {
  const slowestBudget = chassis.budgets
    .flatMap(({ tauS, recoveryS }) => (recoveryS ? [tauS, recoveryS] : [tauS]))
    .reduce<Estimate | null>(
      (slowest, tauS) => (slowest && slowest.value > tauS.value ? slowest : tauS),
      null,
    )
  const budgetS = slowestBudget ? slowestBudget.value * Math.log(1 / LEFT_SHARE) : 0
  const network = networkOf(chassis)
  const heatS = coolingTime(network.stages)
  const slowestS = Math.max(...network.stages.map((stage) => stage.tauS))
  if (budgetS >= heatS && slowestBudget) {
    const relative = (slowestBudget.high - slowestBudget.low) / 2 / slowestBudget.value
    return {
      restS: within(budgetS, Math.max(relative, 0.02)),
      reason: { code: 'rest', by: 'budget', slowestS: slowestBudget.value },
    }
  }
  return {
    restS: within(heatS, network.known ? KNOWN_SPREAD : SUPPOSED_SPREAD),
    reason: network.known ? { code: 'rest', by: 'heat', slowestS } : { code: 'rest-supposed', slowestS },
  }
}

/** A budget or a temperature within this share of its load's excess counts as cold. */
const LEFT_SHARE = 0.02
/** Relative half-widths of a cooling time: of a fitted network, whose slowest stage is known to about a tenth, and of a usual one. */
const KNOWN_SPREAD = 0.15
const SUPPOSED_SPREAD = 0.5

function networkOf({ thermal, heatBudget }: Chassis): {
  readonly stages: readonly ThermalStage[]
  readonly known: boolean
} {
  if (thermal && thermal.stages.length > 0) return { stages: thermal.stages, known: true }
  if (heatBudget) {
    return { stages: stagesOfShares(heatBudget.terms), known: true }
  }
  return { stages: stagesOfShares(USUAL_WARMING), known: false }
}

function coolingTime(stages: readonly ThermalStage[]): number {
  const total = stages.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
  const leftAfter = (tS: number) =>
    stages.reduce((sum, { rKPerW, tauS }) => sum + rKPerW * Math.exp(-tS / tauS), 0) / total
  // After five of the slowest time constants less than 1 % is left.
  const longestS = 5 * Math.max(...stages.map((stage) => stage.tauS))
  return findRoot((tS) => leftAfter(tS) - LEFT_SHARE, [0, longestS])
}

/** @param halfWidth - of the interval, as a share of the value */
function within(value: number, halfWidth: number): Estimate {
  return estimateFromLogError(value, halfWidth / ESTIMATE_EDGE)
}
