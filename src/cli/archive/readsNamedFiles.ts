import { statSync } from 'node:fs'
import type { ArchiveOptions } from './archiveOptions.js'

/**
 * Whether a command line names files one by one and asks for one answer, as most do: then nothing of what many files need is
 * loaded. A name that is not there and has no sign of a pattern in it is a file too, which its reader will miss.
 */
export function readsNamedFiles(words: readonly string[], options: ArchiveOptions): boolean {
  if (options.fromList !== undefined || options.jsonLines === true || options.resumeFrom !== undefined) {
    return false
  }
  return words.every(isFileName)
}

function isFileName(word: string): boolean {
  try {
    return !statSync(word).isDirectory()
  } catch {
    return !/[*?[{(]/.test(word)
  }
}
