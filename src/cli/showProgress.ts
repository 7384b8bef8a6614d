import { SingleBar } from 'cli-progress'
import type { Context } from './context.js'

/** A bar that can be moved and taken away. */
export interface Progress {
  readonly update: (done: number) => void
  readonly stop: () => void
}

/** A progress bar on stderr for work that may take longer than a second; nothing when stderr is no terminal. */
export function showProgress(context: Context, what: string, total: number): Progress {
  if (!context.stderrIsTerminal) return { update: () => {}, stop: () => {} }
  const bar = new SingleBar({
    format: `${what} {bar} {value}/{total}`,
    barCompleteChar: '█',
    barIncompleteChar: '░',
    barsize: 24,
    hideCursor: true,
    clearOnComplete: true,
  })
  bar.start(total, 0)
  return { update: (done) => bar.update(done), stop: () => bar.stop() }
}
