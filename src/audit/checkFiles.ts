import { readInTurn } from '../files/readInTurn.js'
import type { LogOptions } from '../log/trace.js'
import type { SharedLogs } from '../machine/readTestedMachine.js'
import { type CheckedFile, checkFile } from './checkFile.js'
import { checkTogether } from './checkTogether.js'

/**
 * Audits logs and test sheets, each told by what it holds; sheets given together are also held against each other.
 *
 * @param paths - logs and YAML test sheets
 * @param options - column choices for the logs among them
 * @param logs - logs of sheets read so far; left out, each file's are let go when it is audited
 * @returns findings of each file, worst first
 * @throws InputError when a file can't be read as what it is
 */
export async function checkFiles(
  paths: readonly string[],
  options: LogOptions = {},
  logs?: SharedLogs,
): Promise<readonly CheckedFile[]> {
  return checkTogether(await readInTurn(paths, (path) => checkFile(path, options, logs)))
}
