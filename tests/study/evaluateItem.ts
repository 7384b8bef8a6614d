import type { WorldFindings } from './coverageSample.js'
import { evaluateStages } from './evaluateStages.js'
import { type FittedWorlds, fitWorlds, judgeTest } from './evaluateTest.js'
import type { StudyWorlds } from './studyPlan.js'

/**
 * Everything that one entry of the study shows, at the level that the sources were built with.
 *
 * @param fits - a whole test's fits when they were made before, at the level that is printed
 */
export async function evaluateItem(worlds: StudyWorlds, fits?: FittedWorlds): Promise<WorldFindings> {
  if (worlds.item.part === 'stages') return evaluateStages(worlds.world)
  return judgeTest(worlds, fits ?? (await fitWorlds(worlds)), fits === undefined)
}

export { fitWorlds }
