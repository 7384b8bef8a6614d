import { type BudgetShares, shareBudget } from '../segment/shareBudget.js'
import { mainLoad } from './mainLoad.js'
import type { TestedMachine } from './testedMachine.js'

/** What processor and graphics took of the last stage's power in the machine's main load; undefined where its log doesn't say. */
export function steadyShares({ tests }: TestedMachine): BudgetShares | undefined {
  const main = mainLoad(tests[0]!)
  const stage = main?.load.stages.at(-1)
  if (main === undefined || stage === undefined) return undefined
  return shareBudget(main.trial.log.trace, main.load, stage)
}
