import { type Estimate, estimateEdge } from '../../numeric/statistics/estimate.js'
import { stagesOfShares, totalResistance } from '../../physics/chassis/thermalNetwork.js'
import type { Chassis, ThermalModel } from '../../physics/loop/chassis.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'

/**
 * One machine out of those that a fitted chassis leaves possible.
 *
 * Every uncertain figure is moved by its own normal score: limits on the linear scale, time constants and resistance on
 * the logarithmic one, each side by its own half of the interval. Budgets recover alike: one score moves all.
 *
 * @param chassis - as fitted
 * @param chip - watts that the workload asks for, null when no ceiling was seen
 * @param scores - `scoresNeeded(chassis)` standard normal values; all 0 gives the central machine
 * @param ambientC - of the room to project into; left out: that of the test
 * @example machineFromChassis(chassis, { demandW: null }, new Array(scoresNeeded(chassis)).fill(0))
 */
export function machineFromChassis(
  chassis: Chassis,
  chip: { readonly demandW: number | null },
  scores: readonly number[],
  ambientC?: number,
): LoopMachine {
  const score = (index: number) => scores[index] ?? 0
  const budgetsFrom = 3
  const stepsFrom = budgetsFrom + 2 * chassis.budgets.length
  const recoveriesFrom = stepsFrom + chassis.timedSteps.length
  const burstW = movedBy(chassis.burstW, score(0))
  return {
    idleW: chassis.idleW,
    peakW: chip.demandW === null ? burstW : Math.min(burstW, chip.demandW),
    budgets: chassis.budgets.map(({ limitW, tauS, recoveryS, givesWay }, i) => ({
      ...(givesWay ? { givesWay } : {}),
      ...(recoveryS ? { recoveryS: movedInLog(recoveryS, score(recoveriesFrom)) } : {}),
      limitW: movedBy(limitW, score(budgetsFrom + 2 * i)),
      tauS: movedInLog(tauS, score(budgetsFrom + 2 * i + 1)),
    })),
    heat: heatOf(chassis, { resistance: score(1), limit: score(2) }, ambientC),
    timedSteps: chassis.timedSteps.map(({ limitW, afterS }, i) => ({
      limitW: movedBy(limitW, score(stepsFrom + i)),
      afterS: afterS.value,
    })),
    responseS: chassis.responseS ?? 0,
    givesWay: chassis.givesWay ?? 'headroom',
  }
}

/** How many independent normal scores `machineFromChassis` takes for this chassis. */
export function scoresNeeded(chassis: Chassis): number {
  const recovers = chassis.budgets.some(({ recoveryS }) => recoveryS !== undefined)
  return 3 + 2 * chassis.budgets.length + chassis.timedSteps.length + (recovers ? 1 : 0)
}

function heatOf(
  chassis: Chassis,
  scores: { readonly resistance: number; readonly limit: number },
  ambientC: number | undefined,
): LoopMachine['heat'] {
  const { thermal, heatBudget } = chassis
  if (thermal && thermal.ceilingC !== null) {
    // Watts held in the test's own room are known better than resistance and ceiling are: both move together, so that the
    // resistance matters only where another room does.
    const factor = movedInLog(thermal.resistanceKPerW, scores.resistance) / totalResistance(thermal.stages)
    const held = movedBy(chassis.sustainedW, scores.limit) / chassis.sustainedW.value
    const warmerK = (ambientC ?? thermal.ambientC) - thermal.ambientC
    return {
      stages: thermal.stages.map(({ rKPerW, tauS }) => ({ rKPerW: rKPerW * factor, tauS })),
      ceilingRiseK: (thermal.ceilingC - zeroPowerC(thermal)) * factor * held - warmerK,
      control: chassis.heatControl ?? null,
    }
  }
  if (!heatBudget) return null
  return {
    stages: stagesOfShares(heatBudget.terms),
    ceilingRiseK: movedBy(heatBudget.limitW, scores.limit),
    control: chassis.heatControl ?? null,
  }
}

function zeroPowerC(thermal: ThermalModel): number {
  return thermal.zeroPowerC ?? thermal.ambientC
}

/** Never below a tenth of the value: where an interval reaches down to nothing, a normal distribution goes below it. */
function movedBy({ value, low, high, level }: Estimate, score: number): number {
  const edge = estimateEdge(level)
  return Math.max(value / 10, value + (score * (score < 0 ? value - low : high - value)) / edge)
}

function movedInLog({ value, low, high, level }: Estimate, score: number): number {
  if (!(low > 0)) return movedBy({ value, low, high, level }, score)
  const edge = estimateEdge(level)
  return value * Math.exp((score * Math.log(score < 0 ? value / low : high / value)) / edge)
}
