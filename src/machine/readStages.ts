import { type ReadOptions, readLog } from '../files/readLog.js'
import type { ParsedLog } from '../log/trace.js'
import type { Warning } from '../warnings.js'
import { type ChosenLoads, chooseLoads } from './chooseLoads.js'
import { warnOfRepairs } from './warnOfRepairs.js'

export interface ReadStages extends ChosenLoads {
  readonly log: ParsedLog
  readonly warnings: readonly Warning[]
}

/**
 * Reads a log and finds its loads with their stages: the library's side of `holdwatt stages`.
 *
 * @param path - the log
 * @param options - column choices, where the log leaves a doubt; which part of it, which load
 * @throws InputError when the file can't be read as a log, or has no such load
 */
export async function readStages(path: string, options: ReadOptions = {}): Promise<ReadStages> {
  const log = await readLog(path, options)
  const chosen = chooseLoads(log.trace, { load: options.load, log: path })
  const { loads } = chosen
  const unsettled = loads.filter((load) => !load.sustained.reached)
  return {
    log,
    ...chosen,
    warnings: [
      ...(loads.length === 0 ? [{ code: 'no-load', file: path } as const] : []),
      ...warnOfRepairs(log, path),
      ...unsettled.map((load) => ({ code: 'not-settled', atS: load.endS }) as const),
    ],
  }
}
