import { stat } from 'node:fs/promises'
import type { FleetOptions } from './fleetOptions.js'

/**
 * Whether a command line names files one by one and asks for one answer, as most do: then nothing of what many files need is
 * loaded. A name that is not there and has no sign of a pattern in it is a file too, which its reader will miss.
 */
export async function readsNamedFiles(words: readonly string[], options: FleetOptions): Promise<boolean> {
  if (options.fromList !== undefined || options.jsonLines === true || options.resumeFrom !== undefined) {
    return false
  }
  const named = await Promise.all(words.map(isFileName))
  return named.every((isName) => isName)
}

async function isFileName(word: string): Promise<boolean> {
  const there = await stat(word).catch(() => undefined)
  return there === undefined ? !/[*?[{(]/.test(word) : !there.isDirectory()
}
