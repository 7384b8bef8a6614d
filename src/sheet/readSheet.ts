import { readTextFile } from '../files/readTextFile.js'
import { parseSheet } from './parseSheet.js'
import type { TestSheet } from './testSheet.js'

/**
 * Reads a YAML test sheet from disk.
 *
 * @throws InputError with file, line and column: what was expected, what it got, what to do
 */
export async function readSheet(path: string): Promise<TestSheet> {
  return parseSheet(await readTextFile(path), path)
}
