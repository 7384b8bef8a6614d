import { type BudgetShares, shareBudget } from '../segment/shareBudget.js'
import { longestLoad } from './asTested.js'
import type { TestedMachine } from './testedMachine.js'

/** What processor and graphics took of the last stage's power in the machine's main load; undefined where its log doesn't say. */
export function steadyShares({ tests }: TestedMachine): BudgetShares | undefined {
  const [test] = tests
  const load = test === undefined ? undefined : longestLoad(test)
  const stage = load?.stages.at(-1)
  const trial = test?.trials.find(
    (each) => each.kind === 'logged' && load !== undefined && each.loads.includes(load),
  )
  if (load === undefined || stage === undefined || trial?.kind !== 'logged') return undefined
  return shareBudget(trial.log.trace, load, stage)
}
