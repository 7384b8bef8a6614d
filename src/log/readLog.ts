import type { FileHandle } from 'node:fs/promises'
import { InputError } from '../errors.js'
import { LogParser, type ParserOptions } from './logParser.js'
import { canDoWithoutTime, namedError } from './parseLog.js'
import { notReadable, openInput } from './readBytes.js'
import type { LogOptions, ParsedLog } from './trace.js'

export interface ReadOptions extends LogOptions {
  /** Told after every piece how many bytes were read so far. */
  readonly onBytes?: ((bytes: number) => void) | undefined
}

/**
 * Reads a log from disk, or from a pipe that is open already, in one pass and piece by piece, so that it may be larger
 * than memory; see `parseLog`.
 *
 * @throws InputError `file-missing`, `file-not-readable`, `file-is-directory`, and those of `parseLog`
 */
export async function readLog(path: string, options: ReadOptions = {}): Promise<ParsedLog> {
  const named = { file: path, ...options }
  const handle = await openInput(path)
  try {
    return await parsePieces(handle, named)
  } catch (error) {
    // A pipe can't be read a second time: what it held then counts as wrong.
    if (!canDoWithoutTime(error, options) || !(await handle.stat()).isFile()) throw error
    return await parsePieces(handle, { ...named, withoutTime: true })
  } finally {
    await handle.close()
  }
}

const PIECE = 2 ** 20

async function parsePieces(handle: FileHandle, options: ReadOptions & ParserOptions): Promise<ParsedLog> {
  try {
    const parser = new LogParser(options)
    const isFile = (await handle.stat()).isFile()
    const buffer = new Uint8Array(PIECE)
    for (let bytes = 0; ; ) {
      const { bytesRead } = await handle.read(buffer, 0, PIECE, isFile ? bytes : null)
      if (bytesRead === 0) return parser.finish()
      parser.push(buffer.subarray(0, bytesRead))
      bytes += bytesRead
      options.onBytes?.(bytes)
    }
  } catch (error) {
    if (error instanceof InputError) throw namedError(error, options)
    throw error instanceof Error && 'syscall' in error ? notReadable(options.file ?? '', error) : error
  }
}
