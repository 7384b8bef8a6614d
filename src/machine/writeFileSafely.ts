import { access, rename, rm, writeFile } from 'node:fs/promises'
import { InputError } from '../errors.js'

interface WriteOptions {
  /** Whether an existing file may be replaced; asked only when there is one. */
  readonly mayReplace: () => Promise<boolean>
}

/**
 * Writes a whole file or none: to a temporary name beside it, then renamed, so that a reader never sees half of it.
 *
 * @throws InputError `file-exists` when it may not be replaced, `file-not-writable`
 */
export async function writeFileSafely(
  path: string,
  content: string | Uint8Array,
  options: WriteOptions,
): Promise<void> {
  if ((await exists(path)) && !(await mayReplace(path, options))) {
    throw new InputError('file-exists', 'this file exists already and was not made by holdwatt', {
      where: { file: path },
      remedy: 'choose another name, or add --force to replace it',
    })
  }
  const partial = `${path}.partial`
  try {
    await writeFile(partial, content)
    await rename(partial, path)
  } catch (error) {
    await rm(partial, { force: true })
    throw notWritable(path, error)
  }
}

async function exists(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  )
}

/** What can't be read to find out whose it is (a folder, say) can't be replaced either. */
async function mayReplace(path: string, options: WriteOptions): Promise<boolean> {
  try {
    return await options.mayReplace()
  } catch (error) {
    throw notWritable(path, error)
  }
}

function notWritable(path: string, error: unknown): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
  const reasons: { readonly [code: string]: string } = {
    ENOENT: 'its folder does not exist',
    EACCES: 'no permission',
    EISDIR: 'it is a folder',
    ENOTDIR: 'a part of its path is not a folder',
    ENOSPC: 'the disk is full',
    EROFS: 'the disk is read-only',
  }
  return new InputError('file-not-writable', `this file cannot be written: ${reasons[code] ?? code}`, {
    where: { file: path },
    remedy: 'choose a path that can be written to',
  })
}
