import { resolve } from 'node:path'
import { InputError } from '../../errors.js'
import { readInTurn } from '../../files/readInTurn.js'
import type { LogOptions } from '../../log/trace.js'
import { readStages } from '../../machine/readStages.js'
import type { DraftLoad } from '../../sheet/draft/placeScores.js'
import { LOG_ENDINGS } from '../archive/archiveTasks.js'
import { readPaths } from '../archive/paths/readPaths.js'

/** The loads of all logs, and what of a folder is no log. */
export interface DraftLogs {
  readonly loads: readonly DraftLoad[]
  readonly unread: readonly { readonly file: string; readonly reason: string }[]
}

/**
 * Reads the logs that the words of a command line stand for, and finds their loads. A file that is named must be a log; of a folder, what is none
 * is told.
 *
 * @param scores - the table of scores: it may lie among the logs
 * @throws InputError `folder-empty`, `no-load`, and what reading a log that is named does
 */
export async function readDraftLogs(
  words: readonly string[],
  options: LogOptions,
  scores: string | undefined,
): Promise<DraftLogs> {
  const { paths, faults } = await readPaths(words, LOG_ENDINGS)
  if (faults[0] !== undefined) throw faults[0]
  const logs = paths.filter((path) => scores === undefined || resolve(path) !== resolve(scores))
  const unread: { file: string; reason: string }[] = []
  const loads = await readInTurn(logs, async (path): Promise<readonly DraftLoad[]> => {
    try {
      const { log, loads: found } = await readStages(path, options)
      if (found.length === 0) unread.push({ file: path, reason: 'the power never rises clearly above idle' })
      return found.map((load, index) => ({ log: path, number: index + 1, load, trace: log.trace }))
    } catch (error) {
      if (!(error instanceof InputError) || words.includes(path)) throw error
      const { remedy } = error.details
      unread.push({ file: path, reason: `${error.message}${remedy === undefined ? '' : `: ${remedy}`}` })
      return []
    }
  })
  if (loads.every((found) => found.length === 0)) {
    throw new InputError('no-load', 'expected a load in the logs, got none', {
      remedy: unread[0] === undefined ? 'name logs' : `${unread[0].file}: ${unread[0].reason}`,
    })
  }
  return { loads: loads.flat(), unread: unread.sort((a, b) => (a.file < b.file ? -1 : 1)) }
}
