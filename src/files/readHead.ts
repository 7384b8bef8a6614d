import { openInput } from './readInput.js'

const HEAD_BYTES = 4096

/**
 * The beginning of a file as text, for telling what kind of file it is; as much as a YAML sheet needs to show its keys.
 * As `latin1` each byte is a character, zeros too. Nothing of a pipe: what is read from it once can't be read again.
 *
 * @throws InputError as `openInput` does when the file is missing or no file
 */
export async function readHead(path: string, encoding: 'utf8' | 'latin1' = 'utf8'): Promise<string> {
  const input = await openInput(path)
  try {
    if (!input.isFile) return ''
    const head = Buffer.alloc(HEAD_BYTES)
    const count = await input.read(head, 0)
    const text = head.subarray(0, count).toString(encoding)
    return encoding === 'latin1' ? text : text.replace(/\0/g, '')
  } finally {
    input.close()
  }
}
