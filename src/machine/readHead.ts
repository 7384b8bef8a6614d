import { open } from 'node:fs/promises'
import { readTextFile } from './readTextFile.js'

const HEAD_BYTES = 4096

/**
 * The beginning of a file as text, for telling what kind of file it is; as much as a YAML sheet needs to show its keys.
 *
 * @throws InputError as `readTextFile` does when the file is missing or no file
 */
export async function readHead(path: string): Promise<string> {
  const handle = await open(path).catch(() => undefined)
  // What can't be opened is told by the reader that has words for it.
  if (handle === undefined) return readTextFile(path)
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0)
    return buffer.subarray(0, bytesRead).toString('utf8').replace(/\0/g, '')
  } catch {
    return readTextFile(path)
  } finally {
    await handle.close()
  }
}
