import { closeSync, existsSync, openSync, renameSync, rmSync, writeSync } from 'node:fs'
import { InputError } from '../errors.js'

/** A file that grows line by line under a temporary name and appears under its own when it is whole. */
export interface RecordingFile {
  readonly writeLine: (line: string) => void
  /** Gives the file its name. */
  readonly keep: () => void
  /** Takes the temporary file away. */
  readonly discard: () => void
}

/**
 * Opens a recording for writing. Each line reaches the disk at once, so that even a machine that dies under the load
 * leaves what was measured (as `NAME.partial`).
 *
 * @throws InputError `file-exists` unless `force`, `file-not-writable`
 */
export function writeRecording(path: string, force: boolean): RecordingFile {
  if (existsSync(path) && !force) throw exists(path)
  const partial = `${path}.partial`
  const file = guarded(path, () => openSync(partial, 'w'))
  return {
    writeLine: (line) => {
      guarded(path, () => writeSync(file, `${line}\n`))
    },
    keep: () => {
      closeSync(file)
      if (existsSync(path) && !force) throw exists(path, `; the recording was kept as ${partial}`)
      guarded(path, () => renameSync(partial, path))
    },
    discard: () => {
      closeSync(file)
      rmSync(partial, { force: true })
    },
  }
}

function exists(path: string, more = ''): InputError {
  return new InputError('file-exists', `this file exists already${more}`, {
    where: { file: path },
    remedy: 'choose another name with --out, or add --force to replace it',
  })
}

function guarded<T>(path: string, act: () => T): T {
  try {
    return act()
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
    throw new InputError('file-not-writable', `this file cannot be written (${code})`, {
      where: { file: path },
      remedy: 'choose a path that can be written to, with --out FILE',
    })
  }
}
