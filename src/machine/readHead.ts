import { openInput } from '../log/readBytes.js'

const HEAD_BYTES = 4096

/**
 * The beginning of a file as text, for telling what kind of file it is; as much as a YAML sheet needs to show its keys.
 * Nothing of a pipe: what is read from it once can't be read again.
 *
 * @throws InputError as `openInput` does when the file is missing or no file
 */
export async function readHead(path: string): Promise<string> {
  const handle = await openInput(path)
  try {
    if (!(await handle.stat()).isFile()) return ''
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0)
    return buffer.subarray(0, bytesRead).toString('utf8').replace(/\0/g, '')
  } finally {
    await handle.close()
  }
}
