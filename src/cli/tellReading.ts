import type { Context } from './context.js'

/** Follows the reading of a log. */
export interface ReadingTold {
  readonly onBytes: (bytes: number) => void
  readonly stop: () => void
}

/**
 * Says on stderr that a log is still being read, once that has taken two seconds and every two seconds from then on: how
 * many megabytes so far, or that nothing has come yet. On a terminal in one line that is taken away at the end.
 */
export function tellReading(
  { stderrIsTerminal, writeErr }: Pick<Context, 'stderrIsTerminal' | 'writeErr'>,
  path: string,
): ReadingTold {
  let bytes = 0
  let told = 0
  const tell = () => {
    const so = bytes === 0 ? 'waiting for its first line' : `${(bytes / 1e6).toFixed(0)} MB so far`
    // Without a terminal one line is enough of a word: a file of messages must not grow with the wait.
    if (stderrIsTerminal) writeErr(`${CLEARED_LINE}reading ${path}: ${so}`)
    else if (told === 0) writeErr(`reading ${path}: ${so}\n`)
    told++
  }
  const timer = setInterval(tell, EVERY_MS)
  timer.unref()
  return {
    onBytes: (soFar) => {
      bytes = soFar
    },
    stop: () => {
      clearInterval(timer)
      if (stderrIsTerminal && told > 0) writeErr(CLEARED_LINE)
    },
  }
}

const EVERY_MS = 2000
/** Back to the line's beginning and erase it. @source ECMA-48, 8.3.41 (EL) */
const CLEARED_LINE = '\r\u001b[2K'
