import type { Context } from '../context.js'

/**
 * Says on stderr what is being done, once that has taken two seconds and every two seconds from then on. On a terminal in one
 * line that is taken away at the end; without one a single time, as a file of messages must not grow with the wait.
 *
 * @param say - what is being done, as it stands
 * @returns what ends it
 */
export function tellMeanwhile(
  { stderrIsTerminal, writeErr }: Pick<Context, 'stderrIsTerminal' | 'writeErr'>,
  say: () => string,
): () => void {
  let told = 0
  const timer = setInterval(() => {
    if (stderrIsTerminal) writeErr(`${CLEARED_LINE}${say()}`)
    else if (told === 0) writeErr(`${say()}\n`)
    told++
  }, EVERY_MS)
  timer.unref()
  return () => {
    clearInterval(timer)
    if (stderrIsTerminal && told > 0) writeErr(CLEARED_LINE)
  }
}

const EVERY_MS = 2000
/** Back to the line's beginning and erase it. @source ECMA-48, 8.3.41 (EL) */
const CLEARED_LINE = '\r\u001b[2K'
