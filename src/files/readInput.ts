import { closeSync, constants, fstatSync, open, openSync, read, readSync, type Stats } from 'node:fs'
import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'

/** A file, or a pipe, that is read piece by piece. */
export interface InputFile {
  readonly isFile: boolean
  /** Bytes; pipes, and files of the kernel, say 0. */
  readonly size: number
  /** Fills a buffer from a place in the file, or with what comes next of a pipe; the number of bytes read, 0 at the end. */
  readonly read: (into: Uint8Array, at: number) => Promise<number>
  readonly close: () => void
}

/** What is no larger is read without leave for other work: to hand it to a thread and wait takes longer. */
const SMALL_BYTES = 2 ** 20

/** How an input is named. */
export interface InputNaming {
  /** The name stands in a file (a sheet, a list): then it names no stream of this process, which is for the command line to give. */
  readonly namedInFile?: boolean | undefined
}

/**
 * Opens a file that the user named, or a pipe that somebody holds open already (`/dev/stdin`, `<(…)`). A named pipe would wait for
 * a writer that may never come, and a device may have no end: both are refused. So it never waits for another process.
 *
 * @throws InputError `file-missing`, `file-is-directory`, `file-not-readable`
 */
export async function openInput(path: string, { namedInFile }: InputNaming = {}): Promise<InputFile> {
  const held = isHeldOpen(path)
  if (held && namedInFile === true) throw heldOpen(path)
  const descriptor = await withPatience(() => (held ? openedMeanwhile(path) : opened(path)))
  const kind = fstatSync(descriptor)
  if (kind.isFile() || (held && kind.isFIFO())) return inputFile(descriptor, kind)
  closeSync(descriptor)
  const where = { file: plainText(path, 200) }
  if (kind.isDirectory()) {
    throw new InputError('file-is-directory', 'expected a file, got a directory', {
      where,
      remedy: 'give a file in it',
    })
  }
  throw new InputError(
    'file-not-readable',
    `expected a file, got ${kind.isFIFO() ? 'a named pipe' : 'a device'}`,
    {
      where,
      remedy: 'write its content to a file first, or pipe it in and give /dev/stdin',
    },
  )
}

/** Whether a path names a stream that this process was started with. */
export function isHeldOpen(path: string): boolean {
  return HELD_OPEN.test(path)
}

/** The error for a stream of this process that is named in a file. */
export function heldOpen(path: string): InputError {
  return new InputError('file-not-readable', 'expected a file, got a stream that this command holds open', {
    where: { file: plainText(path, 200) },
    remedy: 'only the command line may name one; in a sheet or a list give a file',
  })
}

// Names of descriptors that this process was started with; opening one can't wait for a writer.
const HELD_OPEN = /^\/(dev\/(stdin|fd\/\d+)|proc\/self\/fd\/\d+)$/

function opened(path: string): number {
  try {
    return openSync(path, constants.O_RDONLY | constants.O_NONBLOCK)
  } catch (error) {
    throw notReadable(path, error)
  }
}

/** Files that others of our threads have open are soon closed: a shortage of descriptors is waited out for a while. */
async function withPatience(open: () => number | Promise<number>): Promise<number> {
  for (let tries = 1; ; tries++) {
    try {
      return await open()
    } catch (error) {
      if (!(error instanceof InputError) || error.code !== 'too-many-open' || tries === MOST_TRIES)
        throw error
      await new Promise((resolve) => setTimeout(resolve, BETWEEN_TRIES_MS))
    }
  }
}

// Two seconds in all: longer than most files take, short where a user waits for an error.
const MOST_TRIES = 40
const BETWEEN_TRIES_MS = 50

/** A pipe may have lost its writer, and then opens only for the next one. */
function openedMeanwhile(path: string): Promise<number> {
  return new Promise((resolve, reject) => {
    open(path, constants.O_RDONLY, (error, descriptor) =>
      error ? reject(notReadable(path, error)) : resolve(descriptor),
    )
  })
}

function inputFile(descriptor: number, kind: Stats): InputFile {
  const isFile = kind.isFile()
  const isSmall = isFile && kind.size <= SMALL_BYTES
  return {
    isFile,
    size: kind.size,
    read: async (into, at) => {
      const place = isFile ? at : null
      return isSmall
        ? readSync(descriptor, into, 0, into.length, place)
        : await readMeanwhile(descriptor, into, place)
    },
    close: () => closeSync(descriptor),
  }
}

function readMeanwhile(descriptor: number, into: Uint8Array, place: number | null): Promise<number> {
  return new Promise((resolve, reject) => {
    read(descriptor, into, 0, into.length, place, (error, count) => (error ? reject(error) : resolve(count)))
  })
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
  if (code === 'EMFILE' || code === 'ENFILE') {
    return new InputError('too-many-open', 'the system lets no more files be open at once', {
      where,
      remedy: 'allow more (ulimit -n 256), or do less at once (--jobs 1)',
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
  ENXIO: ['expected a file, got a socket', 'write its content to a file first'],
  ENAMETOOLONG: ['a name this long can be no file', 'check the path'],
  ERR_INVALID_ARG_VALUE: ['a path with a NUL character can be no file', 'check the path'],
}
