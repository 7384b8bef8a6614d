import { readFile, stat } from 'node:fs/promises'
import { InputError } from '../../errors.js'
import { readHead } from '../../files/readHead.js'
import type { Sensors } from '../sensors/findSensors.js'
import { findResumePoint, type ResumePoint } from './findResumePoint.js'

/** How a recording is gone on with. */
export interface Resuming {
  readonly sensors: Sensors
  /** The lines that it would begin with if it were new. */
  readonly head: readonly string[]
  readonly everyS: number
  readonly wait: (seconds: number) => Promise<void>
}

/**
 * Reads a recording that was cut, and finds where it goes on. One that is still growing is another recorder's.
 *
 * @throws InputError `file-missing`, `file-not-readable`, `still-recording`, those of `findResumePoint`
 */
export async function readResumePoint(path: string, resuming: Resuming): Promise<ResumePoint> {
  const { sensors, head, everyS, wait } = resuming
  try {
    await refuseGrowing(path, { everyS, wait })
    return findResumePoint(await readFile(path), sensors, head)
  } catch (error) {
    throw error instanceof InputError ? error.at({ file: path }) : notReadable(path, error)
  }
}

/**
 * Refuses a log that another recorder is writing: going on with it, or beginning it anew, would spoil both.
 *
 * @param everyS - seconds between its samples
 * @throws InputError `still-recording`; what `stat` throws
 */
async function refuseGrowing(
  path: string,
  { everyS, wait }: Pick<Resuming, 'everyS' | 'wait'>,
): Promise<void> {
  const { size, mtimeMs } = await stat(path)
  // Only a file that was written to a moment ago can be growing: no other is waited for.
  if (Date.now() - mtimeMs < 3000 * everyS) await wait(2.5 * everyS)
  if ((await stat(path)).size !== size) throw stillRecording()
}

/**
 * Refuses to replace a recording that is being written; its own first line says how often it grows.
 *
 * @throws InputError `still-recording`
 */
export async function refuseReplacing(path: string, wait: Resuming['wait']): Promise<void> {
  const head = await readHead(path).catch(() => '')
  const everyS = Number(/^# recorded by holdwatt \S+ every ([\d.]+) s$/m.exec(head)?.[1])
  if (!Number.isFinite(everyS)) return
  await refuseGrowing(path, { everyS, wait }).catch((error: unknown) => {
    throw error instanceof InputError ? error.at({ file: path }) : notReadable(path, error)
  })
}

function stillRecording(): InputError {
  return new InputError('still-recording', 'another recording is writing this log now', {
    remedy: 'let it end (or end it), or begin a new log with another --out',
  })
}

function notReadable(path: string, error: unknown): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
  if (code === 'ENOENT') {
    return new InputError('file-missing', 'there is no such recording to go on with', {
      where: { file: path },
      remedy: 'check the name given with --out, or leave --resume out to begin a new one',
    })
  }
  return new InputError('file-not-readable', `this file cannot be read: ${code}`, { where: { file: path } })
}
