import type { Context } from './context.js'
import { tellMeanwhile } from './tellMeanwhile.js'

/** Follows the reading of a log. */
export interface ReadingTold {
  readonly onBytes: (bytes: number) => void
  readonly stop: () => void
}

/** Says on stderr that a log is still being read: how many megabytes so far, or that nothing has come yet. */
export function tellReading(
  context: Pick<Context, 'stderrIsTerminal' | 'writeErr'>,
  path: string,
): ReadingTold {
  let bytes = 0
  const stop = tellMeanwhile(context, () => {
    const so = bytes === 0 ? 'waiting for its first line' : `${(bytes / 1e6).toFixed(0)} MB so far`
    return `reading ${path}: ${so}`
  })
  return {
    onBytes: (soFar) => {
      bytes = soFar
    },
    stop,
  }
}
