import { readFile, stat } from 'node:fs/promises'
import { InputError } from '../errors.js'

/** 64 MiB: far above any sheet or model, far below what would fill the memory. */
const LARGEST_FILE_BYTES = 64 * 1024 * 1024

/**
 * Reads a text file that the user named: UTF-8, or UTF-16 with a byte order mark.
 *
 * @throws InputError `file-missing`, `file-is-folder`, `file-not-readable`, `file-too-large`
 */
export async function readTextFile(path: string): Promise<string> {
  const bytes = await readBytes(path)
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes)
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes)
  // A byte order mark is dropped by the decoder.
  return new TextDecoder('utf-8').decode(bytes)
}

async function readBytes(path: string): Promise<Uint8Array> {
  try {
    const { size } = await stat(path)
    if (size > LARGEST_FILE_BYTES) throw tooLarge(path, size)
    return await readFile(path)
  } catch (error) {
    throw error instanceof InputError ? error : notReadable(path, error)
  }
}

function tooLarge(path: string, size: number): InputError {
  return new InputError(
    'file-too-large',
    `a file of at most ${LARGEST_FILE_BYTES} bytes was needed, ${size} came`,
    {
      where: { file: path },
      remedy: 'is this the right file?',
    },
  )
}

function notReadable(path: string, error: unknown): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
  const where = { file: path }
  const remedy = 'check the path; paths inside a sheet are relative to the sheet'
  if (code === 'ENOENT') return new InputError('file-missing', 'there is no such file', { where, remedy })
  if (code === 'EISDIR')
    return new InputError('file-is-folder', 'this is a folder, a file was needed', { where, remedy })
  return new InputError('file-not-readable', `this file cannot be read: ${code}`, { where, remedy })
}
