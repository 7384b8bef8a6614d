import { runningAverage } from '../../physics/chassis/powerBudget.js'
import { budgetsFromLimits } from '../../physics/loop/budgetsFromLimits.js'
import type { GivesWay } from '../../physics/loop/loopMachine.js'
import type { HeldLevels } from './findHeldLevels.js'
import { fitAround, fitHeldPower, GOOD_FIT, type HeldPowerFit, type HeldPowerModel } from './fitHeldPower.js'
import { type LoadRecord, sampleSteps } from './loadRecord.js'

/**
 * A machine held by one or two running averages. Parameters: burst, response, then limit and time constant of each budget; last,
 * where the averages fall in pauses otherwise than they rise, the ratio of the two time constants.
 */
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
 * tell the two apart. Where one time constant leaves more than noise, averages that recover faster or slower than they fill are
 * tried: timers, stores of energy and other controllers that are no running average look like those.
 *
 * @param levels - with a first drop; the second budget only where there is a second drop
 * @param everyWay - false to try only budgets that give way with their headroom, where something else is expected
 */
export function fitBudgets(record: LoadRecord, levels: HeldLevels, everyWay = true): BudgetFit | null {
  const start = startingBudgets(record, levels)
  if (start.length === 0) return null
  const modelOf = (ways: readonly GivesWay[]) => budgetModel({ record, burstW: levels.burstW, start, ways })
  const headroom = start.map(() => 'headroom' as const)
  const tellsWays = record.passes.length >= 3 && everyWay
  const ways = tellsWays ? [headroom, ...otherWays(start.length)] : [headroom]
  const best = bestOfWays(ways, (each) => fitHeldPower(record, modelOf(each)))
  if (!tellsWays || best.cost < GOOD_FIT * best.samples) return { kind: 'budgets', ...best }
  const recovering = bestOfWays(ways, (each) => fitRecovering(record, modelOf(each)))
  return { kind: 'budgets', ...(recovering.cost < EXPLAINS_MORE * best.cost ? recovering : best) }
}

/** The fit of least cost, or the first that leaves nothing but noise. */
function bestOfWays(
  [first, ...others]: readonly (readonly GivesWay[])[],
  attempt: (ways: readonly GivesWay[]) => HeldPowerFit,
): HeldPowerFit {
  let best = attempt(first!)
  for (const ways of others) {
    if (isNoiseAlone(best)) break
    const other = attempt(ways)
    if (other.cost < best.cost) best = other
  }
  return best
}

function isNoiseAlone({ cost, samples }: HeldPowerFit): boolean {
  return cost < NOISE_ALONE * samples
}

/** A time constant of its own for the pauses must leave at most this share of the cost: a drifting level gains by any further freedom. */
const EXPLAINS_MORE = 0.7

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

function budgetModel({
  record,
  burstW,
  start,
  ways,
}: {
  readonly record: LoadRecord
  readonly burstW: number
  readonly start: readonly StartingBudget[]
  readonly ways: readonly GivesWay[]
}): HeldPowerModel {
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

/**
 * Fits a model with averages that recover otherwise than they fill. Pauses that all end with a recovered average leave the ratio
 * undetermined, and nothing else: the other errors are those with the ratio held.
 */
function fitRecovering(record: LoadRecord, model: HeldPowerModel): HeldPowerFit {
  const recovering = recoveringModel(model)
  const free = fitHeldPower(record, recovering)
  if (free.logErrors) return free
  const at = model.start.length
  const ratio = { at, value: free.parameters[at]!, logError: UNDETERMINED_RECOVERY }
  return fitAround(record, { ...recovering, start: free.parameters }, [ratio])
}

/** Standard error of ln ratio where all averages recover fully: a factor of four either way at 90 %. */
const UNDETERMINED_RECOVERY = 0.85

/** The same machine with one further parameter, the last: how much longer its averages take to fall than to rise. */
function recoveringModel({ start, within, machine }: HeldPowerModel): HeldPowerModel {
  return {
    start: [...start, STARTING_RECOVERY],
    within: [...within, MOST_RECOVERY],
    machine: (parameters) => {
      const made = machine(parameters)
      const ratio = parameters.at(-1)!
      return {
        ...made,
        budgets: made.budgets.map((budget) => ({ ...budget, recoveryS: ratio * budget.tauS })),
      }
    },
  }
}

/** A fit with a ratio of 1 has been tried; from one half it finds its way to either side. */
const STARTING_RECOVERY = 0.5
/** The ratio stays within this factor of its start: a tenth of a pause, or many loads. */
const MOST_RECOVERY = 20
