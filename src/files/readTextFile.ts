import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'
import { readBytes } from './readBytes.js'
import type { InputNaming } from './readInput.js'

/** 64 MB: far above any sheet or model, far below what would fill the memory. */
const LARGEST_FILE_BYTES = 64_000_000

/** Binary data have a zero byte within so many. */
const HEAD_BYTES = 65_536

/**
 * Reads a text file that the user named: UTF-8, or UTF-16 with a byte order mark.
 *
 * @throws InputError `file-missing`, `file-is-directory`, `file-not-readable`, `file-too-large`, `not-text`
 */
export async function readTextFile(path: string, naming: InputNaming = {}): Promise<string> {
  const bytes = await readBytes(path, LARGEST_FILE_BYTES, naming)
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes)
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes)
  if (bytes.subarray(0, HEAD_BYTES).includes(0)) {
    throw new InputError('not-text', 'expected text, got binary data (zero bytes)', {
      where: { file: plainText(path, 200) },
      remedy: 'give the file as text, in UTF-8',
    })
  }
  // A byte order mark is dropped by the decoder.
  return new TextDecoder('utf-8').decode(bytes)
}
