import { InputError } from '../errors.js'
import { decodeFile } from '../log/table/logEncoding.js'
import { plainText } from '../log/table/plainText.js'
import { readBytes } from './readBytes.js'
import type { InputNaming } from './readInput.js'

/** 64 MB: far above any sheet or model, far below what would fill the memory. */
const LARGEST_FILE_BYTES = 64_000_000

/**
 * Reads a text file that the user named, in the encodings that logs may have.
 *
 * @throws InputError `file-missing`, `file-is-directory`, `file-not-readable`, `file-too-large`, `not-text`
 */
export async function readTextFile(path: string, naming: InputNaming = {}): Promise<string> {
  const bytes = await readBytes(path, LARGEST_FILE_BYTES, naming)
  try {
    return decodeFile(bytes)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    throw new InputError(error.code, 'expected text, got binary data (zero bytes)', {
      where: { file: plainText(path, 200) },
      remedy: 'give the file as text, in UTF-8',
    })
  }
}
