import { existsSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { InputError } from '../errors.js'

interface WriteOptions {
  /** Whether an existing file may be replaced; asked only when there is one. */
  readonly mayReplace: () => boolean
}

/**
 * Writes a whole file or none: to a temporary name beside it, then renamed, so that a reader never sees half of it.
 *
 * @throws InputError `file-exists` when it may not be replaced, `file-not-writable`
 */
export function writeFileSafely(path: string, content: string | Uint8Array, options: WriteOptions): void {
  if (existsSync(path) && !options.mayReplace()) {
    throw new InputError('file-exists', 'this file exists already and was not made by holdwatt', {
      where: { file: path },
      remedy: 'choose another name, or add --force to replace it',
    })
  }
  const partial = `${path}.partial`
  try {
    writeFileSync(partial, content)
    renameSync(partial, path)
  } catch (error) {
    rmSync(partial, { force: true })
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
