import type { HeldLevels } from './findHeldLevels.js'
import { STARTING_RESPONSE_S, startingBudgets } from './fitBudgets.js'
import { fitHeldPower, type HeldPowerFit } from './fitHeldPower.js'
import type { LoadRecord } from './loadRecord.js'

/** A machine that steps down a set time after the load began. Parameters: burst, response, limit, time, then a budget's. */
export interface TimedFit extends HeldPowerFit {
  readonly kind: 'timed'
}

/**
 * Fits a step down to the sustained level at a set time, after one budget for the drop before it, if there is one.
 *
 * Unlike a budget, such a step leaves no burst after a pause, which is how the two are told apart.
 */
export function fitTimedStep(record: LoadRecord, levels: HeldLevels): TimedFit | null {
  const stepS = levels.secondDropS ?? levels.firstDropS
  if (stepS === null || !(stepS > 0)) return null
  const budgets = levels.secondDropS === null ? [] : startingBudgets(record, levels).slice(0, 1)
  const fit = fitHeldPower(record, {
    start: [
      levels.burstW,
      STARTING_RESPONSE_S,
      levels.sustainedW,
      stepS,
      ...budgets.flatMap(({ limitW, tauS }) => [limitW, tauS]),
    ],
    within: [1.06, 10, 1.06, 1.5, ...budgets.flatMap(() => [1.06, 8])],
    machine: ([peakW, responseS, limitW, afterS, ...rest]) => ({
      idleW: record.idleW,
      peakW: peakW!,
      responseS: responseS!,
      givesWay: 'headroom',
      budgets: budgets.map(() => ({ limitW: rest[0]!, tauS: rest[1]! })),
      heat: null,
      timedSteps: [{ limitW: limitW!, afterS: afterS! }],
    }),
  })
  return { kind: 'timed', ...fit }
}
