import { parseLog } from './parseLog.js'
import { readBytes } from './readBytes.js'
import type { LogOptions, ParsedLog } from './trace.js'

/**
 * Reads a log from disk; see `parseLog`.
 *
 * @throws InputError `file-missing`, `file-not-readable`, `file-is-directory`, `file-too-large`, and those of `parseLog`
 */
export async function readLog(path: string, options: LogOptions = {}): Promise<ParsedLog> {
  return parseLog(await readBytes(path, MOST_BYTES), { file: path, ...options })
}

// The text and its rows are held in memory; a week at 10 samples a second with ten columns stays below this.
const MOST_BYTES = 400_000_000
