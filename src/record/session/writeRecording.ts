import { closeSync, fdatasync, fstatSync, ftruncateSync, openSync, rmSync, writeSync } from 'node:fs'
import { truncate } from 'node:fs/promises'
import type { InputError } from '../../errors.js'
import { fileNotWritable } from '../../files/fileNotWritable.js'
import { writeFileSafely } from '../../files/writeFileSafely.js'

/** A log that grows line by line. */
export interface RecordingFile {
  readonly writeLine: (line: string) => void
  readonly write: (bytes: Uint8Array) => void
  /** Resolves when every line is on the disk. */
  readonly close: () => Promise<void>
  /** Closes the file and takes it away. */
  readonly discard: () => Promise<void>
}

/** How a log begins: new, with these lines; or where a cut one goes on, behind these bytes. */
export type RecordingStart =
  | { readonly head: readonly string[]; readonly force: boolean }
  | { readonly wholeBytes: number }

/**
 * Opens a log for a recording. Each line is written at once and then pushed to the disk, so that a machine that dies under its load
 * leaves all but the last sample. A disk that is full leaves whole lines, and so does everything else.
 *
 * @throws InputError `file-exists` unless `force`, `file-not-writable`
 */
export async function writeRecording(path: string, start: RecordingStart): Promise<RecordingFile> {
  if ('head' in start) {
    const text = start.head.map((line) => `${line}\n`).join('')
    await writeFileSafely(path, text, { mayReplace: async () => start.force, refusal: REFUSAL })
  } else {
    await truncate(path, start.wholeBytes).catch((error: unknown) => {
      throw fileNotWritable(path, error)
    })
  }
  const file = openToAppend(path)
  const disk = pushToDisk(file)
  let size = fstatSync(file).size
  const write = (bytes: Uint8Array): void => {
    try {
      writeWhole(file, bytes)
    } catch (error) {
      ftruncateSync(file, size)
      throw fileNotWritable(path, error, GO_ON)
    }
    size += bytes.length
    disk.push()
  }
  return {
    writeLine: (line) => write(Buffer.from(`${line}\n`)),
    write,
    close: async () => {
      await disk.done()
      closeSync(file)
    },
    discard: async () => {
      await disk.done()
      closeSync(file)
      rmSync(path, { force: true })
    },
  }
}

const REFUSAL = {
  message: 'this file exists already',
  remedy:
    'choose another name with --out, add --force to replace it, or --resume to go on with a recording that was cut',
}

const GO_ON = 'what was recorded until now is kept; make room and go on with the same command and --resume'

function openToAppend(path: string): number {
  try {
    return openSync(path, 'a')
  } catch (error) {
    throw fileNotWritable(path, error) satisfies InputError
  }
}

/** A disk that is nearly full takes a part of a line before it fails. */
function writeWhole(file: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at)
}

/** Pushes to the disk what was written, one push at a time; waiting for it would delay the next sample. */
function pushToDisk(file: number) {
  let [running, again] = [false, false]
  let settled = (): void => {}
  const push = (): void => {
    if (running) {
      again = true
      return
    }
    running = true
    // Not every file system can; the line is written either way.
    fdatasync(file, () => {
      running = false
      if (again) {
        again = false
        push()
      } else settled()
    })
  }
  return {
    push,
    done: () =>
      new Promise<void>((resolve) => {
        settled = resolve
        if (!running) resolve()
      }),
  }
}
