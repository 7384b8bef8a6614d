import { randomBytes } from 'node:crypto'
import { type FileHandle, link, lstat, open, readlink, rename, rm, stat } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { InputError } from '../errors.js'
import { fileNotWritable } from './fileNotWritable.js'
import { noteTemporary } from './writeTemporary.js'

interface WriteOptions {
  /** Whether an existing file may be replaced; asked only when there is one. */
  readonly mayReplace: () => Promise<boolean>
  /** Why an existing file is not replaced, and what to do, when "not made by holdwatt" is not it. */
  readonly refusal?: { readonly message: string; readonly remedy: string }
}

/**
 * Writes a whole file or none: to a temporary file of its own beside it, pushed to the disk, then put in its place in one step. A reader
 * never sees half a file; a full disk, a failure or a power cut leaves what was there before; writers at the
 * same time don't touch each other's temporary file.
 *
 * A symbolic link stays one: what it points to is written. What is no ordinary file (a device, a pipe) is never replaced.
 *
 * @throws InputError `file-exists` when it may not be replaced, `file-not-writable`
 */
export async function writeFileSafely(
  path: string,
  content: string | Uint8Array,
  options: WriteOptions,
): Promise<void> {
  try {
    const target = await behindLinks(path)
    const before = await stat(target).catch(whenMissing)
    if (before?.isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' })
    if (before !== undefined && !before.isFile()) throw notOrdinary(path)
    if (before !== undefined && !(await options.mayReplace())) throw fileExists(path, options)
    await writeBeside(target, content, { mode: before?.mode, replace: before !== undefined })
  } catch (error) {
    if (error instanceof InputError) throw error
    // Somebody else made the file in between: it is not ours to replace.
    if (codeOf(error) === 'EEXIST') throw fileExists(path, options)
    throw fileNotWritable(path, error)
  }
}

// The kernel's own limit (path_resolution(7), "at most 40").
const MOST_LINKS = 40

/** The path that a chain of symbolic links ends at, whether or not there is a file. */
async function behindLinks(path: string, followed = 0): Promise<string> {
  const found = await lstat(path).catch(whenMissing)
  if (found === undefined || !found.isSymbolicLink()) return path
  if (followed >= MOST_LINKS) throw Object.assign(new Error('too many links'), { code: 'ELOOP' })
  return behindLinks(resolve(dirname(path), await readlink(path)), followed + 1)
}

interface Placement {
  /** Permissions of the file that is replaced; undefined for the usual ones. */
  readonly mode: number | undefined
  readonly replace: boolean
}

async function writeBeside(
  target: string,
  content: string | Uint8Array,
  { mode, replace }: Placement,
): Promise<void> {
  const folder = dirname(target)
  // Short enough for a name that is itself as long as names may be; its dot keeps it out of listings and globs.
  const temporary = join(
    folder,
    `.${basename(target).slice(0, 100)}.${randomBytes(6).toString('hex')}.partial`,
  )
  const gone = noteTemporary(temporary)
  try {
    const file = await open(temporary, 'wx')
    try {
      if (mode !== undefined) await file.chmod(mode & 0o7777)
      await file.writeFile(content)
      // Without this a power cut soon after may leave the new name with nothing in it.
      await file.sync()
    } finally {
      await file.close()
    }
    await (replace ? rename(temporary, target) : takeName(temporary, target))
  } finally {
    await rm(temporary, { force: true })
    gone()
  }
  await syncFolder(folder)
}

/** Gives a file its name unless somebody has taken it meanwhile; a link does both in one step, where the disk has links. */
async function takeName(temporary: string, target: string): Promise<void> {
  try {
    await link(temporary, target)
  } catch (error) {
    if (!WITHOUT_LINKS.includes(codeOf(error))) throw error
    await (await open(target, 'wx')).close()
    await rename(temporary, target)
  }
}

const WITHOUT_LINKS: readonly string[] = ['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK']

/** A name is safe once its folder is; not every system lets a folder be opened for that. */
async function syncFolder(folder: string): Promise<void> {
  let opened: FileHandle | undefined
  try {
    opened = await open(folder, 'r')
    await opened.sync()
  } catch {
    // The file itself is whole either way.
  } finally {
    await opened?.close()
  }
}

function whenMissing(error: unknown): undefined {
  if (codeOf(error) !== 'ENOENT') throw error
  return undefined
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : ''
}

function fileExists(path: string, { refusal }: WriteOptions): InputError {
  return new InputError(
    'file-exists',
    refusal?.message ?? 'this file exists already and was not made by holdwatt',
    {
      where: { file: path },
      remedy: refusal?.remedy ?? 'choose another name, or add --force to replace it',
    },
  )
}

function notOrdinary(path: string): InputError {
  return new InputError('file-not-writable', 'expected an ordinary file, got a device or a pipe', {
    where: { file: path },
    remedy: 'choose a path of a file, new or old',
  })
}
