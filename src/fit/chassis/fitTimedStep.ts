import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import type { HeldLevels } from './findHeldLevels.js'
import { STARTING_RESPONSE_S, startingBudgets } from './fitBudgets.js'
import { fitAround, fitHeldPower, type HeldParameter, type HeldPowerFit } from './fitHeldPower.js'
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
  const rest = budgets.flatMap(({ limitW, tauS }) => [limitW, tauS])
  const held = [levels.burstW, STARTING_RESPONSE_S, levels.sustainedW]
  const restWithin = budgets.flatMap(() => [1.06, 8])
  const machine = ([peakW, responseS, limitW, afterS, ...rest]: readonly number[]): LoopMachine => ({
    idleW: record.idleW,
    peakW: peakW!,
    responseS: responseS!,
    givesWay: 'headroom',
    budgets: budgets.map(() => ({ limitW: rest[0]!, tauS: rest[1]! })),
    heat: null,
    timedSteps: [{ limitW: limitW!, afterS: afterS! }],
  })
  const model = { start: [...held, stepS, ...rest], within: [1.06, 10, 1.06, 1.5, ...restWithin], machine }
  const free = fitHeldPower(record, model)
  const time = timeInPause(record, free.parameters[AFTER]!)
  if (!time) return { kind: 'timed', ...free }
  const around = { ...model, start: free.parameters }
  const fixed = fitAround(record, around, [time])
  // Without another drop nothing shows how fast power comes down.
  return { kind: 'timed', ...(fixed.logErrors ? fixed : fitAround(record, around, [UNSEEN_RESPONSE, time])) }
}

/** How fast power comes down: anywhere within a factor of ten of the start, either way, at 90 %. */
const UNSEEN_RESPONSE = { at: 1, value: STARTING_RESPONSE_S, logError: 1.4 }

/** Where the time of the step stands among the parameters. */
const AFTER = 3

/**
 * A step that is there when a run begins, and wasn't when the one before ended, came at any time of the pause: its middle is told,
 * with the standard error of a rectangular distribution. No other parameter depends on it, and no residual.
 *
 * @source width / sqrt(12): JCGM 100:2008, 4.3.7
 */
function timeInPause(record: LoadRecord, afterS: number): HeldParameter | null {
  const k = record.passes.findIndex(({ startS }) => startS + record.intervalS > afterS)
  if (k < 1) return null
  const fromS = record.passes[k - 1]!.endS
  const toS = record.passes[k]!.startS
  if (afterS < fromS - record.intervalS || !(toS > fromS)) return null
  const middleS = (fromS + toS) / 2
  return { at: AFTER, value: middleS, logError: (toS - fromS) / Math.sqrt(12) / middleS }
}
