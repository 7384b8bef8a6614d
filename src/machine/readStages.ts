import { type ReadOptions, readLog } from '../files/readLog.js'
import type { ParsedLog } from '../log/trace.js'
import { findLoads } from '../segment/findLoads.js'
import type { Load } from '../segment/load.js'
import type { Warning } from '../warnings.js'
import { warnOfRepairs } from './warnOfRepairs.js'

export interface ReadStages {
  readonly log: ParsedLog
  readonly loads: readonly Load[]
  readonly warnings: readonly Warning[]
}

/**
 * Reads a log and finds its loads with their stages: the library's side of `holdwatt stages`.
 *
 * @param path - the log
 * @param options - column choices, where the log leaves a doubt
 * @throws InputError when the file can't be read as a log
 */
export async function readStages(path: string, options: ReadOptions = {}): Promise<ReadStages> {
  const log = await readLog(path, options)
  const loads = findLoads(log.trace)
  const unsettled = loads.filter((load) => !load.sustained.reached)
  return {
    log,
    loads,
    warnings: [
      ...(loads.length === 0 ? [{ code: 'no-load', file: path } as const] : []),
      ...warnOfRepairs(log, path),
      ...unsettled.map((load) => ({ code: 'not-settled', atS: load.endS }) as const),
    ],
  }
}
