import type { BudgetShares } from '../../segment/shareBudget.js'
import { sayEstimate, sayNumber } from './sayEstimate.js'

/** What processor and graphics took of one budget, in a sentence: "The graphics took 18.0 W (17.8 to 18.2) of 60.0 W, …". */
export function sayShares({ totalW, processorW, graphicsW, restW }: BudgetShares, of = ''): string {
  const total = sayNumber(totalW, 3, 'W')
  const rest =
    Math.abs(restW.value) < LEAST_SHARE * totalW ? '' : `; ${sayNumber(restW.value, 2, 'W')} went elsewhere`
  return `${of === '' ? 'The' : `${of} the`} graphics took ${sayEstimate(graphicsW, 'W')} of ${total}, the processor ${sayEstimate(processorW, 'W')}${rest}.`
}

/** Less than sensors agree to is not worth a clause. */
const LEAST_SHARE = 0.02
