import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { parentPort, workerData } from 'node:worker_threads'
import type { WorldFindings } from './coverageSample.js'
import type { evaluateItem, fitWorlds } from './evaluateItem.js'
import { makeStudyWorlds, type StudyItem } from './studyPlan.js'

// One thread of the study: makes an entry's worlds once and evaluates them at every level.

const PRINTED_LEVEL = 0.9
const { levels, cache } = workerData as { readonly levels: readonly number[]; readonly cache: string }
interface Evaluation {
  readonly evaluateItem: typeof evaluateItem
  readonly fitWorlds: typeof fitWorlds
}
const evaluations = new Map<number, Evaluation>()
for (const level of levels)
  evaluations.set(
    level,
    (await import(pathToFileURL(join(cache, `evaluate-${level}.mjs`)).href)) as Evaluation,
  )

parentPort!.on('message', async (item: StudyItem | null) => {
  if (item === null) {
    parentPort!.close()
    return
  }
  const worlds = makeStudyWorlds(item)
  const printed = evaluations.get(PRINTED_LEVEL)!
  const fits = item.refitted ? undefined : await printed.fitWorlds(worlds)
  const found: [number, WorldFindings][] = []
  for (const [level, { evaluateItem }] of evaluations) found.push([level, await evaluateItem(worlds, fits)])
  parentPort!.postMessage(found)
})
