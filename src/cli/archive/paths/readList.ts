import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { InputError } from '../../../errors.js'
import { splitLines } from './splitLines.js'

/** Longer than any path (PATH_MAX is 4096 on Linux), with room for the sheets of one chip side by side. */
const LONGEST_LINE = 1_000_000

/**
 * The lines of a list of paths, as they come: a list may be longer than memory, and may be written while it is read. Empty
 * lines are passed over.
 *
 * @param file - path of the list, or `-` for standard input
 * @throws InputError `file-missing`, `file-not-readable`, `line-too-long`
 */
export async function* readList(
  file: string,
  input: () => AsyncIterable<Uint8Array>,
): AsyncGenerator<string> {
  const pieces = file === '-' ? input() : await openPieces(file)
  const name = file === '-' ? 'standard input' : file
  for await (const { text } of splitLines(pieces, { most: LONGEST_LINE, file: name })) {
    if (text.trim() !== '') yield text
  }
}

/** A file in pieces. */
export async function openPieces(file: string): Promise<AsyncIterable<Uint8Array>> {
  const where = { file }
  const there = await stat(file).catch(() => undefined)
  if (there === undefined) {
    throw new InputError('file-missing', 'there is no such file', { where, remedy: 'check the path' })
  }
  if (there.isDirectory()) {
    throw new InputError('file-is-folder', 'expected a file, got a folder', { where })
  }
  return createReadStream(file)
}
