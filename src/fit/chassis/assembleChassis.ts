import { ESTIMATE_LEVEL, type Estimate, estimateFromLogError } from '../../numeric/statistics/estimate.js'
import { timeConstantFromHold } from '../../physics/chassis/powerBudget.js'
import { totalResistance } from '../../physics/chassis/thermalNetwork.js'
import type { Chassis, HeatBudget, PowerBudget, ThermalModel } from '../../physics/loop/chassis.js'
import { TYPICAL_RESPONSE_S } from '../../physics/loop/loopMachine.js'
import type { Load } from '../../segment/load.js'
import type { ChassisFit } from './chooseChassisFit.js'
import type { ThermalFit } from './fitThermalNetwork.js'
import { heldTimes } from './heldTimes.js'
import type { LoadRecord } from './loadRecord.js'

interface ChassisParts {
  readonly name: string
  readonly ambientC: number | null
  readonly record: LoadRecord
  readonly load: Load
  readonly fit: ChassisFit
  readonly network: ThermalFit | null
}

/** Makes the chassis model of a fit: levels, holds, budgets and thermal network, each with its interval. */
export function assembleChassis(parts: ChassisParts): Chassis {
  const { fit, record } = parts
  const unseen = unseenBudget(parts)
  const budgets = [...budgetsOf(fit), ...unseen]
  const holds = holdsOf(fit, shortTermOf(fit), record.intervalS)
  return {
    name: parts.name,
    idleW: record.idleW,
    burstW: estimateAt(fit, 0, LEAST_BURST_ERROR),
    burstHoldS: heldBeforeSwing(parts) ?? holds.burst,
    shortTermW: shortTermOf(fit) ?? (unseen.length > 0 ? budgets[0]!.limitW : null),
    shortTermHoldS: holds.shortTerm,
    sustainedW: sustainedOf(parts),
    budgets,
    thermal: thermalOf(parts),
    timedSteps:
      fit.kind === 'timed'
        ? [{ limitW: estimateAt(fit, 2, LEAST_POWER_ERROR), afterS: estimateAt(fit, 3, LEAST_TIME_ERROR) }]
        : [],
    responseS: fit.kind === 'budgets' || fit.kind === 'timed' ? fit.machine.responseS : TYPICAL_RESPONSE_S,
    givesWay: fit.kind === 'budgets' ? fit.machine.givesWay : 'headroom',
    heatBudget: heatBudgetOf(fit),
    heatControl: fit.machine.heat?.control ?? null,
  }
}

/** What follows the burst is the mean of a swing, which says nothing of when the first fall comes: the log does. */
function heldBeforeSwing({ load, record }: ChassisParts): Estimate | null {
  const [burst, next] = load.stages
  if (burst?.label !== 'burst' || next?.cycle === undefined) return null
  const holdS = burst.endS - burst.startS
  return estimateFromLogError(holdS, Math.hypot(LEAST_TIME_ERROR, (END_SAMPLING * record.intervalS) / holdS))
}

/** Least relative standard errors: levels drift by this much between loads that look the same; common practice, no source. */
const LEAST_POWER_ERROR = 0.0022
/** A level between two drops is short, and its ends still glide. */
const LEAST_SHORT_TERM_ERROR = 0.004
const LEAST_TIME_ERROR = 0.005
/**
 * Standard error of when a hold ends, in response times and in sampling intervals: how a controller lets go is its own habit, and
 * "half way down" falls between samples. On generated worlds with habits that no fit shares.
 */
const END_HABIT = 0.5
const END_SAMPLING = 0.15
/** A burst's power creeps up as the chip warms. */
const LEAST_BURST_ERROR = 0.005
/** What heat holds depends on its controller's habits, too, which pauses only partly show. */
const LEAST_HEAT_ERROR = 0.008
/** Where even the best controller misses more than noise, heat's watts are known to this share only. */
const MISFIT_HEAT_ERROR = 0.016
const MISFIT_COST = 3
/** Relative standard error of what a fit couldn't determine. */
const UNKNOWN_ERROR = 0.2

function estimateAt(fit: ChassisFit, index: number, leastError: number): Estimate {
  return estimateFromLogError(fit.parameters[index]!, errorAt(fit, index, leastError))
}

function errorAt(fit: ChassisFit, index: number, leastError: number): number {
  const error = fit.logErrors?.[index]
  if (error === undefined)
    return leastError === LEAST_POWER_ERROR || leastError === LEAST_BURST_ERROR
      ? UNKNOWN_ERROR / 20
      : UNKNOWN_ERROR
  return Math.hypot(leastError, Math.min(error, UNKNOWN_ERROR))
}

/** Where each kind's first budget stands among its parameters: limit, then time constant. */
const FIRST_BUDGET = { budgets: 2, timed: 4, heat: 4, flat: 1 } as const

function budgetsOf(fit: ChassisFit): PowerBudget[] {
  return fit.machine.budgets.map(({ givesWay }, i) => ({
    ...(givesWay && givesWay !== fit.machine.givesWay ? { givesWay } : {}),
    limitW: estimateAt(
      fit,
      FIRST_BUDGET[fit.kind] + 2 * i,
      isShortTerm(fit, i) ? LEAST_SHORT_TERM_ERROR : LEAST_POWER_ERROR,
    ),
    tauS: estimateAt(fit, FIRST_BUDGET[fit.kind] + 2 * i + 1, habitError(fit, i)),
    ...recoveryOf(fit, i),
  }))
}

/** Where averages fall otherwise than they rise: the time constant, as uncertain as the ratio of the two, the last parameter. */
function recoveryOf(fit: ChassisFit, index: number): { readonly recoveryS?: Estimate } {
  const { recoveryS } = fit.machine.budgets[index]!
  if (recoveryS === undefined) return {}
  const error = fit.logErrors?.at(-1) ?? UNKNOWN_ERROR
  return { recoveryS: estimateFromLogError(recoveryS, Math.hypot(error, habitError(fit, index))) }
}

/** Whether something else holds the power lower after this budget. */
function isShortTerm({ kind, machine }: ChassisFit, index: number): boolean {
  return index === 0 && (machine.budgets.length > 1 || kind !== 'budgets')
}

/**
 * Standard error of a time constant in response times: whether a controller lets go before its average is at the limit or there moves a
 * drop by about one. Common practice, no source.
 */
const TIME_CONSTANT_HABIT = 0.9

/** What the controller's habit leaves open of a budget's time constant. */
function habitError(fit: ChassisFit, index: number): number {
  return Math.hypot(
    LEAST_TIME_ERROR,
    (TIME_CONSTANT_HABIT * fit.machine.responseS) / fit.machine.budgets[index]!.tauS,
  )
}

/** The first budget's limit, where something else holds the power lower later. */
function shortTermOf(fit: ChassisFit): Estimate | null {
  const budgets = budgetsOf(fit)
  return budgets.length > 0 && isShortTerm(fit, 0) ? budgets[0]!.limitW : null
}

function sustainedOf({ fit, load, record }: ChassisParts): Estimate {
  const settled = load.sustained
  // A log that ends too early says nothing of limits that had not come yet.
  if (!settled.reached && fit.kind !== 'heat') return settled.levelW
  if (fit.kind === 'timed') return estimateAt(fit, 2, LEAST_POWER_ERROR)
  if (fit.kind === 'flat') return record.passes.length > 1 ? cooledByPauses(settled.levelW) : settled.levelW
  if (fit.kind === 'budgets')
    return budgetsOf(fit).reduce((a, b) => (b.limitW.value < a.limitW.value ? b : a)).limitW
  const heldW = fit.ceilingRise / totalResistance(fit.machine.heat!.stages)
  if (!settled.reached) return spanning(settled.levelW, heldW)
  return estimateFromLogError(heldW, errorAt(fit, 1, heatError(fit)))
}

/** The log's extrapolation and the fitted machine's settled power speak of one level: the interval holds both. */
function spanning(level: Estimate, heldW: number): Estimate {
  return {
    value: Math.min(level.high, Math.max(level.low, heldW)),
    low: Math.min(level.low, heldW),
    high: Math.max(level.high, heldW),
    level: level.level,
  }
}

/**
 * A demand grows as the silicon warms and leaks; pauses keep a loop cooler than the uninterrupted load that a chassis' levels
 * speak of, so what is measured is at the lower end of what such a load would draw.
 */
function cooledByPauses(level: Estimate): Estimate {
  return { ...level, high: level.high + COOLED_SHARE * level.value }
}

/** On generated worlds with leakage an uninterrupted load draws 0.1 to 1.6 % more than a loop with pauses of 3 to 25 s. */
const COOLED_SHARE = 0.015

/**
 * A log that ended too early says that power will fall further, and how far at most: a budget that had not filled by its end,
 * with an interval as wide as that leaves it.
 */
function unseenBudget({ fit, load, record }: ChassisParts): PowerBudget[] {
  const { reached, levelW } = load.sustained
  const lowestW = Math.min(...fit.machine.budgets.map((budget) => budget.limitW))
  if (reached || fit.kind !== 'budgets' || !(levelW.value < 0.99 * lowestW)) return []
  const loadS = load.endS - load.startS
  const idleW = Math.min(record.idleW, 0.9 * levelW.value)
  const tauAfter = (loads: number) =>
    timeConstantFromHold(loads * loadS, { idleW, limitW: levelW.value, burstW: lowestW })
  const tauS = { value: tauAfter(2), low: tauAfter(1), high: tauAfter(4), level: ESTIMATE_LEVEL }
  return [{ limitW: { ...levelW, high: Math.min(levelW.high, lowestW) }, tauS }]
}

function heatError(fit: ChassisFit): number {
  return fit.cost > MISFIT_COST * fit.samples ? MISFIT_HEAT_ERROR : LEAST_HEAT_ERROR
}

/** Hold times of the fitted machine, moved by one standard error of each parameter in turn. */
function holdsOf(
  fit: ChassisFit,
  shortTerm: Estimate | null,
  intervalS: number,
): { burst: Estimate | null; shortTerm: Estimate | null } {
  const timesFor = (parameters: readonly number[]) => {
    const machine = fit.machineFor(parameters)
    return heldTimes(machine, shortTerm ? (machine.budgets[0]?.limitW ?? null) : null)
  }
  const central = timesFor(fit.parameters)
  const moved = fit.parameters.map((value, i) => {
    const error = errorAt(fit, i, i === 0 ? LEAST_POWER_ERROR : 0)
    return timesFor(fit.parameters.map((p, j) => (j === i ? value * Math.exp(error) : p)))
  })
  const estimate = (which: 'burstS' | 'shortTermS') => {
    const value = central[which]
    if (value === null || !(value > 0)) return null
    const squares = moved.map((times) => {
      const other = times[which]
      return other === null || !(other > 0) ? UNKNOWN_ERROR ** 2 : Math.log(other / value) ** 2
    })
    const fitted = Math.sqrt(squares.reduce((a, b) => a + b, 0))
    const ends = Math.hypot(END_HABIT * fit.machine.responseS, END_SAMPLING * intervalS) / value
    return estimateFromLogError(value, Math.min(1, Math.hypot(LEAST_TIME_ERROR, fitted, ends)))
  }
  return { burst: estimate('burstS'), shortTerm: estimate('shortTermS') }
}

function thermalOf({ fit, network, ambientC }: ChassisParts): ThermalModel | null {
  if (!network) return null
  const { resistanceKPerW, stages, zeroPowerC } = network
  const ceilingC = fit.kind === 'heat' && fit.network ? zeroPowerC + fit.ceilingRise : null
  return { resistanceKPerW, stages, ceilingC, ambientC: ambientC ?? zeroPowerC, zeroPowerC }
}

function heatBudgetOf(fit: ChassisFit): HeatBudget | null {
  if (fit.kind !== 'heat' || !fit.budget) return null
  return {
    limitW: estimateFromLogError(fit.ceilingRise, errorAt(fit, 1, heatError(fit))),
    terms: fit.budget.terms,
  }
}
