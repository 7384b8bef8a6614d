import { InputError } from '../errors.js'
import { ESTIMATE_LEVEL, type Estimate } from '../numeric/statistics/estimate.js'
import { budgetsFromLimits } from '../physics/loop/budgetsFromLimits.js'
import type { Chassis } from '../physics/loop/chassis.js'
import type { NotedLevel } from '../sheet/testSheet.js'

interface NotedChassis {
  readonly name: string
  readonly levels: readonly NotedLevel[]
  readonly idleW: number
}

/** Half-widths of 90 % intervals for what a person reads off a screen; common practice, no source. */
const POWER_HALF_WIDTH = 0.05
const TIME_HALF_WIDTH = 0.2

/**
 * A chassis from levels of power that were written down by hand: the first is the burst, the last the sustained power,
 * what lies between is the short-term power (its time-mean when there are several levels).
 *
 * Nothing tells a running average from heat or a timed step here, so the holds are taken for those of running averages,
 * as most set limits are (common practice, no source).
 *
 * @throws InputError `levels-rising` when a later level is higher: power of a load doesn't recover by itself
 */
export function chassisFromLevels({ name, levels, idleW }: NotedChassis): Chassis {
  levels.slice(1).forEach((level, index) => {
    if (level.powerW > levels[index]!.powerW) {
      const message = `expected levels that fall from one to the next, got ${level.powerW} W after ${levels[index]!.powerW} W`
      throw new InputError('levels-rising', message, {
        remedy: 'note the levels of one uninterrupted load from idle',
      })
    }
  })
  const sustainedW = levels.at(-1)!.powerW
  const burst = levels[0]!
  const middle = levels.slice(1, -1)
  const shortTermForS = middle.reduce((sum, level) => sum + (level.forS ?? 0), 0)
  const shortTermW =
    middle.length === 0
      ? null
      : middle.reduce((sum, level) => sum + level.powerW * (level.forS ?? 0), 0) / shortTermForS
  const limits = {
    burstW: burst.powerW,
    burstForS: levels.length > 1 ? burst.forS : null,
    shortTermW,
    shortTermForS: middle.length === 0 ? null : shortTermForS,
    sustainedW,
  }
  const budgets = budgetsFromLimits(limits, {
    idleW: Math.min(idleW, sustainedW / 2),
    responseS: 0,
    givesWay: 'latch',
  })
  return {
    name,
    idleW,
    burstW: noted(limits.burstW, POWER_HALF_WIDTH),
    burstHoldS: orNull(limits.burstForS, TIME_HALF_WIDTH),
    shortTermW: orNull(limits.shortTermW, POWER_HALF_WIDTH),
    shortTermHoldS: orNull(limits.shortTermForS, TIME_HALF_WIDTH),
    sustainedW: noted(sustainedW, POWER_HALF_WIDTH),
    budgets: budgets.map(({ limitW, tauS }) => ({
      limitW: noted(limitW, POWER_HALF_WIDTH),
      tauS: noted(tauS, TIME_HALF_WIDTH),
    })),
    thermal: null,
    timedSteps: [],
  }
}

function noted(value: number, halfWidth: number): Estimate {
  return { value, low: value * (1 - halfWidth), high: value * (1 + halfWidth), level: ESTIMATE_LEVEL }
}

function orNull(value: number | null, halfWidth: number): Estimate | null {
  return value === null ? null : noted(value, halfWidth)
}
