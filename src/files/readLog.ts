import { InputError } from '../errors.js'
import { withFormulas } from '../log/formula/withFormulas.js'
import { LogParser, type ParserOptions } from '../log/logParser.js'
import { canDoWithoutTime, namedError } from '../log/parseLog.js'
import type { LogOptions, ParsedLog } from '../log/trace.js'
import { type InputFile, type InputNaming, notReadable, openInput } from './readInput.js'

export interface ReadOptions extends LogOptions, InputNaming {
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
  const named = { file: path, ...(await withFormulas(options)) }
  const input = await openInput(path, options)
  try {
    return await parsePieces(input, named)
  } catch (error) {
    // A pipe can't be read a second time: what it held then counts as wrong.
    if (!canDoWithoutTime(error, options) || !input.isFile) throw error
    return await parsePieces(input, { ...named, withoutTime: true })
  } finally {
    input.close()
  }
}

const PIECE = 2 ** 20

async function parsePieces(input: InputFile, options: ReadOptions & ParserOptions): Promise<ParsedLog> {
  try {
    const parser = new LogParser(options)
    const buffer = new Uint8Array(PIECE)
    for (let bytes = 0; ; ) {
      const count = await input.read(buffer, bytes)
      if (count === 0) return parser.finish()
      parser.push(buffer.subarray(0, count))
      bytes += count
      options.onBytes?.(bytes)
    }
  } catch (error) {
    if (error instanceof InputError) throw namedError(error, options)
    throw error instanceof Error && 'syscall' in error ? notReadable(options.file ?? '', error) : error
  }
}
