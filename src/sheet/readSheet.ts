import { readTextFile } from '../files/readTextFile.js'
import { chooseTest } from './chooseTest.js'
import { parseReview, readTree } from './parseReview.js'
import type { ReviewSheet } from './reviewSheet.js'
import type { TestSheet } from './testSheet.js'

/**
 * Reads a YAML test sheet from disk as one machine and one workload. Of a sheet with several tests, one is named behind the
 * path: `heron.yaml#render`, `heron.yaml#render @ battery`.
 *
 * @throws InputError with file, line and column: what was expected, what it got, what to do
 */
export async function readSheet(path: string): Promise<TestSheet> {
  return chooseTest(await readWholeSheet(path))
}

/**
 * Reads a YAML test sheet from disk as it is written: of one workload, or of many. Behind the path one of its tests may be named.
 *
 * @throws InputError as `readSheet`
 */
export async function readWholeSheet(path: string): Promise<TestSheet | ReviewSheet> {
  const { file, asked } = splitSheetPath(path)
  const read = readTree(await readTextFile(file), file)
  return asked === undefined ? read : chooseTest(read, asked)
}

/**
 * Reads a YAML test sheet from disk with all of its workloads and modes.
 *
 * @throws InputError as `readSheet`
 */
export async function readReviewSheet(path: string): Promise<ReviewSheet> {
  return parseReview(await readTextFile(path), path)
}

/** The path of a sheet's file, and which of its tests is asked for behind it. */
export function splitSheetPath(path: string): { readonly file: string; readonly asked?: string } {
  const parts = /^(.*\.ya?ml)#(.+)$/is.exec(path)
  return parts === null ? { file: path } : { file: parts[1]!, asked: parts[2]! }
}
