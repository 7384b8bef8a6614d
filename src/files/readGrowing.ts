import { setTimeout as delay } from 'node:timers/promises'
import { notReadable, openInput } from './readInput.js'

/**
 * The bytes of a file that somebody else is writing, as they come, from its beginning until `end` is aborted.
 *
 * @throws InputError as `openInput`
 */
export async function* readGrowing(path: string, end: AbortSignal): AsyncGenerator<Uint8Array> {
  const input = await openInput(path)
  try {
    const buffer = new Uint8Array(PIECE)
    for (let at = 0; !end.aborted; ) {
      const count = await input.read(buffer, at)
      if (count > 0) yield buffer.slice(0, count)
      else await delay(BETWEEN_LOOKS_MS, undefined, { signal: end }).catch(() => undefined)
      at += count
    }
  } catch (error) {
    throw error instanceof Error && 'syscall' in error ? notReadable(path, error) : error
  } finally {
    input.close()
  }
}

const PIECE = 65_536
/** Shorter than what most loggers wait between two lines. */
const BETWEEN_LOOKS_MS = 200
