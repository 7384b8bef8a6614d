import { SingleBar } from 'cli-progress'
import type { Context } from '../context.js'

/** A bar that can be moved and taken away, and that gives way to what must be told meanwhile. */
export interface Progress {
  readonly update: (done: number) => void
  readonly tell: (text: string) => void
  readonly stop: () => void
}

/**
 * A progress bar on stderr for work that may take longer than a second; nothing when stderr is no terminal.
 *
 * @param total - undefined when nobody knows how much there is: then what is done is counted
 */
export function showProgress(
  context: Pick<Context, 'stderrIsTerminal' | 'writeErr'>,
  what: string,
  total: number | undefined,
): Progress {
  const { stderrIsTerminal, writeErr } = context
  if (!stderrIsTerminal) return { update: () => {}, tell: (text) => writeErr(text), stop: () => {} }
  const bar = new SingleBar({
    format: total === undefined ? `${what} {value}` : `${what} {bar} {value}/{total}`,
    barCompleteChar: '█',
    barIncompleteChar: '░',
    barsize: 24,
    hideCursor: true,
    clearOnComplete: true,
  })
  bar.start(total ?? 0, 0)
  return {
    update: (done) => bar.update(done),
    // Takes the bar's line; the bar draws itself anew below.
    tell: (text) => writeErr(`${CLEARED_LINE}${text}`),
    stop: () => bar.stop(),
  }
}

/** Back to the line's beginning and erase it. @source ECMA-48, 8.3.41 (EL) */
const CLEARED_LINE = '\r\u001b[2K'
