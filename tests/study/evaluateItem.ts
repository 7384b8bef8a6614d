import type { WorldFindings } from './coverageSample.js'
import { evaluateStages } from './evaluateStages.js'
import { fitWorlds, judgeTest } from './evaluateTest.js'
import type { StudyWorlds } from './studyPlan.js'

/** Everything that one entry of the study shows, at the level that the sources were built with. */
export async function evaluateItem(worlds: StudyWorlds): Promise<WorldFindings> {
  if (worlds.item.part === 'stages') return evaluateStages(worlds.world)
  return judgeTest(worlds, await fitWorlds(worlds))
}
