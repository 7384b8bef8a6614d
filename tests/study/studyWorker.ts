import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { parentPort, workerData } from 'node:worker_threads'
import type { WorldFindings } from './coverageSample.js'
import type { evaluateItem } from './evaluateItem.js'
import { makeStudyWorlds, type StudyItem } from './studyPlan.js'

// One thread of the study: makes an entry's worlds once and evaluates them at every level.

const { levels, cache } = workerData as { readonly levels: readonly number[]; readonly cache: string }
const evaluations = await Promise.all(
  levels.map(async (level) => {
    const path = pathToFileURL(join(cache, `evaluate-${level}.mjs`)).href
    const loaded = (await import(path)) as { readonly evaluateItem: typeof evaluateItem }
    return [level, loaded.evaluateItem] as const
  }),
)

parentPort!.on('message', async (item: StudyItem | null) => {
  if (item === null) {
    parentPort!.close()
    return
  }
  const worlds = makeStudyWorlds(item)
  const found: [number, WorldFindings][] = []
  for (const [level, evaluate] of evaluations)
    if (item.everyLevel || level === 0.9) found.push([level, await evaluate(worlds)])
  parentPort!.postMessage(found)
})
