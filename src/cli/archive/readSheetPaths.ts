import { SHEET_ENDINGS } from './archiveTasks.js'
import { readPaths } from './paths/readPaths.js'

/**
 * The sheets that the words of a command stand for, where all of them go into one answer: files, folders and patterns.
 *
 * @throws InputError the first fault of `readPaths`: what is left out unseen would change the answer
 */
export async function readSheetPaths(words: readonly string[]): Promise<readonly string[]> {
  const { paths, faults } = await readPaths(words, SHEET_ENDINGS)
  if (faults[0] !== undefined) throw faults[0]
  return paths
}
