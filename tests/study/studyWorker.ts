import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { parentPort, workerData } from 'node:worker_threads'
import type { WorldFindings } from './coverageSample.js'
import type { evaluateItem } from './evaluateItem.js'
import { makeStudyWorlds, type StudyItem } from './studyPlan.js'

// One thread of the study: makes an entry's worlds once and evaluates them at every level.

const PRINTED_LEVEL = 0.9
const { levels, cache } = workerData as { readonly levels: readonly number[]; readonly cache: string }
interface Evaluation {
  readonly evaluateItem: typeof evaluateItem
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
  const found: [number, WorldFindings][] = []
  for (const [level, { evaluateItem }] of evaluations)
    if (item.everyLevel || level === PRINTED_LEVEL) found.push([level, await evaluateItem(worlds)])
  parentPort!.postMessage(found)
})
