import { rmSync } from 'node:fs'

const paths = new Set<string>()
let begin: () => () => void = () => () => undefined
let end = (): void => undefined

/**
 * Notes a file or folder that this process makes and takes away again, so that a process that is ended meanwhile can take it away first.
 *
 * @returns to be called when it is gone
 */
export function noteTemporary(path: string): () => void {
  if (paths.size === 0) end = begin()
  paths.add(path)
  return () => {
    if (paths.delete(path) && paths.size === 0) end()
  }
}

/** Takes away all that is noted, at once: a process that ends waits for nothing. */
export function removeTemporaries(): void {
  for (const path of paths) rmSync(path, { recursive: true, force: true })
}

/**
 * Sets what is done while there is something to take away: whoever listens for signals does so only then, since a process that
 * listens ends no sooner than it comes to it.
 *
 * @param watch - called with the first that is noted; what it returns, when none is left
 */
export function watchTemporaries(watch: () => () => void): void {
  begin = watch
}
