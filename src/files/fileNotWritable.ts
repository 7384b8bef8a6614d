import { InputError } from '../errors.js'

/** The error for a file that can't be written, in words; `remedy` when the usual one, another path, is not it. */
export function fileNotWritable(path: string, error: unknown, remedy?: string): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
  const full = FULL_DISK.includes(code)
  return new InputError('file-not-writable', `this file cannot be written: ${REASONS[code] ?? code}`, {
    where: { file: path },
    remedy:
      remedy ??
      (full ? 'make room, or choose a path on another disk' : 'choose a path that can be written to'),
  })
}

const FULL_DISK: readonly string[] = ['ENOSPC', 'EDQUOT', 'EFBIG']

// What the system's error numbers mean for somebody who wanted a file written (POSIX.1-2017, errno.h).
const REASONS: { readonly [code: string]: string } = {
  ENOENT: 'its folder does not exist',
  EACCES: 'no permission',
  EPERM: 'no permission',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of its path is not a folder',
  ELOOP: 'its symbolic links lead round in a circle',
  ENAMETOOLONG: 'its name is too long',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your share of the disk is full',
  EFBIG: 'it is larger than a file may be here',
  EROFS: 'the disk is read-only',
}
