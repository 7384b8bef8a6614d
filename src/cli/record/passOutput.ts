import type { Writable } from 'node:stream'

/** Passes on what a command prints, for as long as somebody takes it. */
export interface OutputPass {
  /** Writes to a stream, or drops it where the reader has gone or does not keep up. */
  readonly write: (stream: Writable, output: string | Uint8Array) => void
  /** Bytes that were dropped. */
  readonly droppedBytes: () => number
}

/** Passes output on; a recording goes on whatever becomes of it, and holds no more of it than `MOST_HELD`. */
export function passOutput(): OutputPass {
  let dropped = 0
  return {
    write: (stream, output) => {
      if (stream.destroyed || stream.writableLength > MOST_HELD) dropped += Buffer.byteLength(output)
      else stream.write(output)
    },
    droppedBytes: () => dropped,
  }
}

/** Bytes that wait for a reader: many screens of text, and nothing beside what a recording takes. */
const MOST_HELD = 2 ** 20
