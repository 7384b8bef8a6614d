import { openInput } from './readInput.js'

const HEAD_BYTES = 4096

/**
 * The beginning of a file as text, for telling what kind of file it is; as much as a YAML sheet needs to show its keys.
 * Nothing of a pipe: what is read from it once can't be read again.
 *
 * @throws InputError as `openInput` does when the file is missing or no file
 */
export async function readHead(path: string): Promise<string> {
  const input = await openInput(path)
  try {
    if (!input.isFile) return ''
    const head = Buffer.alloc(HEAD_BYTES)
    const count = await input.read(head, 0)
    return head.subarray(0, count).toString('utf8').replace(/\0/g, '')
  } finally {
    input.close()
  }
}
