import type { WorldFindings } from './coverageSample.js'
import { evaluateStages } from './evaluateStages.js'
import { evaluateTest } from './evaluateTest.js'
import type { StudyWorlds } from './studyPlan.js'

/** Everything that one entry of the study shows, at the level that the sources were built with. */
export function evaluateItem(worlds: StudyWorlds): Promise<WorldFindings> {
  return worlds.item.part === 'stages' ? evaluateStages(worlds.world) : evaluateTest(worlds)
}
