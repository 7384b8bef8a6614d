import type { Context } from '../context.js'
import { tellMeanwhile } from '../tellMeanwhile.js'

/** Follows the walk through folders. */
export interface WalkingTold {
  readonly onLooked: () => void
  readonly stop: () => void
}

/** Says on stderr that folders are still being looked through, and how much was seen. */
export function tellWalking(context: Pick<Context, 'stderrIsTerminal' | 'writeErr'>): WalkingTold {
  let looked = 0
  const stop = tellMeanwhile(
    context,
    () => `looking through folders: ${looked.toLocaleString('en')} files and folders so far`,
  )
  return {
    onLooked: () => {
      looked += 1
    },
    stop,
  }
}
