import { constants } from 'node:fs'
import { type FileHandle, open } from 'node:fs/promises'
import { InputError } from '../errors.js'
import { plainText } from './plainText.js'

/**
 * Bytes of a file that the user named, at most so many.
 *
 * A file, or a pipe that somebody holds open already (`/dev/stdin`, `<(…)`). A named pipe would wait for a writer that may
 * never come, and a device may have no end: both are refused.
 *
 * @throws InputError as `openInput`; `file-too-large`
 */
export async function readBytes(path: string, mostBytes: number): Promise<Uint8Array> {
  const handle = await openInput(path)
  const where = { file: plainText(path, 200) }
  try {
    const { size } = await handle.stat()
    if (size > mostBytes) throw tooLarge(`${Math.round(size / 1e6)} MB`, mostBytes, where)
    // Only what says its size can be read in one go: pipes, and files of the kernel, say 0.
    if (size > 0) return await handle.readFile()
    return await readUpTo(handle, mostBytes, where)
  } catch (error) {
    throw error instanceof InputError ? error : notReadable(path, error)
  } finally {
    await handle.close()
  }
}

/**
 * Opens a file, or a pipe that is open already; see `readBytes`. It never waits for another process.
 *
 * @throws InputError `file-missing`, `file-is-directory`, `file-not-readable`
 */
export async function openInput(path: string): Promise<FileHandle> {
  const held = HELD_OPEN.test(path)
  const flags = constants.O_RDONLY | (held ? 0 : constants.O_NONBLOCK)
  const handle = await open(path, flags).catch((error: unknown) => {
    throw notReadable(path, error)
  })
  const kind = await handle.stat()
  if (kind.isFile() || (held && kind.isFIFO())) return handle
  await handle.close()
  const where = { file: plainText(path, 200) }
  if (kind.isDirectory()) {
    throw new InputError('file-is-directory', 'needed a file, got a directory', {
      where,
      remedy: 'give a file in it',
    })
  }
  throw new InputError(
    'file-not-readable',
    `needed a file, got ${kind.isFIFO() ? 'a named pipe' : 'a device'}`,
    {
      where,
      remedy: 'write its content to a file first, or pipe it in and give /dev/stdin',
    },
  )
}

// Names of descriptors that this process was started with; opening one can't wait for a writer.
const HELD_OPEN = /^\/(dev\/(stdin|fd\/\d+)|proc\/self\/fd\/\d+)$/

async function readUpTo(handle: FileHandle, mostBytes: number, where: { file: string }): Promise<Uint8Array> {
  const pieces: Uint8Array[] = []
  let length = 0
  for await (const piece of handle.createReadStream({ autoClose: false }) as AsyncIterable<Uint8Array>) {
    pieces.push(piece)
    length += piece.length
    if (length > mostBytes) throw tooLarge('more', mostBytes, where)
  }
  return Buffer.concat(pieces)
}

function tooLarge(came: string, mostBytes: number, where: { file: string }): InputError {
  return new InputError(
    'file-too-large',
    `needed a file of at most ${Math.floor(mostBytes / 1e6)} MB, got ${came}`,
    { where, remedy: 'is this the right file? Of a log, export fewer columns, or sample less often' },
  )
}

/** What the system says about a file that can't be read, as an error that the user can mend. */
export function notReadable(path: string, error: unknown): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : 'unknown'
  const where = { file: plainText(path, 200) }
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return new InputError('file-missing', 'no such file', {
      where,
      remedy: 'check the path; it is relative to where you are, and inside a sheet to the sheet',
    })
  }
  const reason = REASONS[code]
  return new InputError('file-not-readable', reason?.[0] ?? `the file could not be read (${code})`, {
    where,
    remedy: reason?.[1] ?? 'check the path',
  })
}

const REASONS: { readonly [code: string]: readonly [string, string] } = {
  EACCES: ['no permission to read the file', 'change its permissions'],
  EPERM: ['no permission to read the file', 'change its permissions'],
  ELOOP: ['a symbolic link leads back to itself', 'link to the file itself'],
  ENXIO: ['needed a file, got a socket', 'write its content to a file first'],
  ENAMETOOLONG: ['a name this long can be no file', 'check the path'],
  ERR_INVALID_ARG_VALUE: ['a path with a NUL character can be no file', 'check the path'],
}
