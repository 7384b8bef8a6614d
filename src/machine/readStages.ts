import { type ReadOptions, readLog } from '../files/readLog.js'
import { type ReadStages, stagesOfLog } from './stagesOfLog.js'

/**
 * Reads a log and finds its loads with their stages: the library's side of `holdwatt stages`.
 *
 * @param path - the log
 * @param options - column choices, where the log leaves a doubt; which part of it, which load
 * @throws InputError when the file can't be read as a log, or has no such load
 */
export async function readStages(path: string, options: ReadOptions = {}): Promise<ReadStages> {
  return stagesOfLog(await readLog(path, options), { file: path, load: options.load })
}
