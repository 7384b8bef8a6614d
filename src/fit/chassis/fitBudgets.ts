import { runningAverage } from '../../physics/chassis/powerBudget.js'
import { budgetsFromLimits } from '../../physics/loop/budgetsFromLimits.js'
import type { GivesWay } from '../../physics/loop/loopMachine.js'
import type { HeldLevels } from './findHeldLevels.js'
import { fitHeldPower, type HeldPowerFit, type HeldPowerModel } from './fitHeldPower.js'
import { type LoadRecord, sampleSteps } from './loadRecord.js'

/** A machine held by one or two running averages. Parameters: burst, response, then limit and time constant of each budget. */
export interface BudgetFit extends HeldPowerFit {
  readonly kind: 'budgets'
}

/**
 * Fits one or two power budgets to a load: every drop of every run, and every burst after a pause, is an equation for the
 * same time constants.
 *
 * Starting values: a first hold without pauses gives the first time constant in closed form; any other is the one with which the
 * measured power's running average arrives at its limit at the drop. Where bursts after pauses
 * don't fit a budget that gives way with its headroom, others that latch are tried, and the best is kept; a single burst can't
 * tell the two apart.
 *
 * @param levels - with a first drop; the second budget only where there is a second drop
 * @param everyWay - false to try only budgets that give way with their headroom, where something else is expected
 */
export function fitBudgets(record: LoadRecord, levels: HeldLevels, everyWay = true): BudgetFit | null {
  const start = startingBudgets(record, levels)
  if (start.length === 0) return null
  const attempt = (ways: readonly GivesWay[]) =>
    fitHeldPower(record, budgetModel(record, levels.burstW, start, ways))
  let best = attempt(start.map(() => 'headroom'))
  if (record.passes.length >= 3 && everyWay) {
    for (const ways of otherWays(start.length)) {
      if (best.cost < NOISE_ALONE * best.samples) break
      const other = attempt(ways)
      if (other.cost < best.cost) best = other
    }
  }
  return { kind: 'budgets', ...best }
}

/** Every way in which at least one of so many budgets latches, the lowest limit first: it is the one that pauses tell of. */
function otherWays(budgets: number): GivesWay[][] {
  if (budgets === 1) return [['latch']]
  return [
    ['headroom', 'latch'],
    ['latch', 'latch'],
    ['latch', 'headroom'],
  ]
}

/** Cost per sample of a fit that leaves nothing but noise: 1, and 1.5 standard errors of that mean over 200 samples. */
const NOISE_ALONE = 1.15

/** How long a controller takes to bring power down, s, where a fit starts: within a factor of ten of what logs show. */
export const STARTING_RESPONSE_S = 1

interface StartingBudget {
  readonly limitW: number
  readonly tauS: number
}

/** Budgets as the levels and drops suggest them, lowest limit last; none without a drop. */
export function startingBudgets(record: LoadRecord, levels: HeldLevels): StartingBudget[] {
  const { burstW, shortTermW, sustainedW, firstDropS, secondDropS } = levels
  if (firstDropS === null) return []
  const firstW = shortTermW ?? sustainedW
  const idleW = Math.min(record.idleW, 0.9 * firstW)
  const uninterrupted = {
    burstW,
    burstForS: Math.max(firstDropS, 0.3 * record.intervalS),
    shortTermW: null,
    shortTermForS: null,
    sustainedW: firstW,
  }
  const first =
    firstDropS > record.passes[0]!.endS
      ? [{ limitW: firstW, tauS: tauReaching(record, firstW, firstDropS) }]
      : budgetsFromLimits(uninterrupted, { idleW, responseS: 0, givesWay: 'latch' })
  if (shortTermW === null || secondDropS === null) return first
  return [...first, { limitW: sustainedW, tauS: tauReaching(record, sustainedW, secondDropS) }]
}

/** The time constant with which the running average of the measured power is at `limitW` at a given time. */
function tauReaching(record: LoadRecord, limitW: number, atS: number): number {
  const from = record.toS.findIndex((t) => t > 0)
  const to = record.toS.findIndex((t) => t >= atS)
  const powersW = record.powerW.subarray(from, to)
  const lengthsS = sampleSteps(record).subarray(from, to)
  let low = 0.5
  let high = 5000
  while (high / low > 1.001) {
    const tauS = Math.sqrt(low * high)
    const reached = runningAverage({ lengthsS, powersW, startW: record.idleW }, tauS).at(-1) ?? 0
    if (reached > limitW) low = tauS
    else high = tauS
  }
  return Math.sqrt(low * high)
}

function budgetModel(
  record: LoadRecord,
  burstW: number,
  start: readonly StartingBudget[],
  ways: readonly GivesWay[],
): HeldPowerModel {
  return {
    start: [burstW, STARTING_RESPONSE_S, ...start.flatMap(({ limitW, tauS }) => [limitW, tauS])],
    within: [1.06, 10, ...start.flatMap(() => [1.06, 8])],
    machine: ([peakW, responseS, ...rest]) => ({
      idleW: record.idleW,
      peakW: peakW!,
      responseS: responseS!,
      givesWay: ways[0]!,
      budgets: start.map((_, i) => ({
        limitW: rest[2 * i]!,
        tauS: rest[2 * i + 1]!,
        givesWay: ways[i]!,
      })),
      heat: null,
      timedSteps: [],
    }),
  }
}
