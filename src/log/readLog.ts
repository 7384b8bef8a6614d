import { readFile, stat } from 'node:fs/promises'
import { InputError } from '../errors.js'
import { parseLog } from './parseLog.js'
import { plainText } from './plainText.js'
import type { LogOptions, ParsedLog } from './trace.js'

/**
 * Reads a log from disk; see `parseLog`.
 *
 * @throws InputError `file-missing`, `file-not-readable`, `file-is-directory`, `file-too-large`, and those of `parseLog`
 */
export async function readLog(path: string, options: LogOptions = {}): Promise<ParsedLog> {
  return parseLog(await readBytes(path), { file: path, ...options })
}

// The text and its rows are held in memory; a week at 10 samples a second with ten columns stays below this.
const MOST_BYTES = 400_000_000

async function readBytes(path: string): Promise<Uint8Array> {
  const file = plainText(path, 200)
  const where = { file }
  try {
    const { size } = await stat(path).then((it) => {
      if (it.isDirectory()) {
        throw new InputError('file-is-directory', 'needed a log file, got a directory', {
          where,
          remedy: 'give a file in it',
        })
      }
      if (!it.isFile() && !it.isFIFO() && !it.isCharacterDevice()) {
        throw new InputError('file-not-readable', 'needed a log file, got a device or socket', { where })
      }
      return it
    })
    if (size > MOST_BYTES) {
      const megabytes = Math.round(size / 1e6)
      throw new InputError(
        'file-too-large',
        `needed a log of at most ${MOST_BYTES / 1e6} MB, got ${megabytes} MB`,
        {
          where,
          remedy: 'export fewer columns, or sample less often',
        },
      )
    }
    return await readFile(path)
  } catch (error) {
    throw error instanceof InputError ? error : unreadable(error, file)
  }
}

function unreadable(error: unknown, file: string): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : 'unknown'
  const where = { file }
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return new InputError('file-missing', 'no such file', {
      where,
      remedy: 'check the path; it is relative to where you are',
    })
  }
  if (code === 'EACCES' || code === 'EPERM') {
    return new InputError('file-not-readable', 'no permission to read the file', {
      where,
      remedy: 'change its permissions',
    })
  }
  return new InputError('file-not-readable', `the file could not be read (${code})`, { where })
}
