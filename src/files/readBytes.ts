import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'
import { type InputFile, type InputNaming, notReadable, openInput } from './readInput.js'

/**
 * Bytes of a file, or a pipe, that the user named, at most so many.
 *
 * @throws InputError as `openInput`; `file-too-large`
 */
export async function readBytes(
  path: string,
  mostBytes: number,
  naming: InputNaming = {},
): Promise<Uint8Array> {
  const input = await openInput(path, naming)
  const where = { file: plainText(path, 200) }
  try {
    if (input.size > mostBytes) throw tooLarge(`${Math.round(input.size / 1e6)} MB`, mostBytes, where)
    return await readUpTo(input, mostBytes, where)
  } catch (error) {
    throw error instanceof InputError ? error : notReadable(path, error)
  } finally {
    input.close()
  }
}

const PIECE = 65_536

async function readUpTo(input: InputFile, mostBytes: number, where: { file: string }): Promise<Uint8Array> {
  const pieces: Uint8Array[] = []
  for (let length = 0; ; ) {
    // One more than it says, so that its end is seen by a piece that is not full.
    const piece = new Uint8Array(Math.max(PIECE, input.size + 1 - length))
    const count = await input.read(piece, length)
    if (count === 0) return pieces.length === 1 ? pieces[0]! : Buffer.concat(pieces)
    pieces.push(piece.subarray(0, count))
    length += count
    if (length > mostBytes) throw tooLarge('more', mostBytes, where)
  }
}

function tooLarge(came: string, mostBytes: number, where: { file: string }): InputError {
  return new InputError(
    'file-too-large',
    `expected a file of at most ${Math.floor(mostBytes / 1e6)} MB, got ${came}`,
    { where, remedy: 'is this the right file? Of a log, export fewer columns, or sample less often' },
  )
}
