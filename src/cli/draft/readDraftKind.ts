import { readFileSync, statSync } from 'node:fs'
import { readTextFile } from '../../files/readTextFile.js'
import { isReviewTable } from '../../sheet/draft/parseReviewTable.js'

/** What of the options of `draft` decides which kind of sheet it writes. */
interface KindOptions {
  readonly out: string
  readonly scores?: string
  readonly scoreColumn?: string
  readonly loads?: readonly number[]
  readonly workload?: string
  readonly metrics?: unknown
  readonly place?: unknown
}

/**
 * Whether logs become a sheet of one workload, or sheets of many: of many where a folder stands for logs or sheets, where the table has several
 * machines, workloads or modes, or where the sheet that is there has many.
 *
 * @throws InputError as reading the table does
 */
export async function readDraftKind(
  paths: readonly string[],
  options: KindOptions,
): Promise<'one' | 'review'> {
  const { place, metrics, loads, scoreColumn, out, scores, workload } = options
  if (place !== undefined || metrics !== undefined || isFolderName(out)) return 'review'
  if (paths.some(isFolder) || isReviewSheet(out)) return 'review'
  if (scores === undefined || loads !== undefined || scoreColumn !== undefined) return 'one'
  return isReviewTable(await readTextFile(scores), workload) ? 'review' : 'one'
}

/** Whether a path is a folder, or is written like one. */
export function isFolderName(path: string): boolean {
  return /[\\/]$/.test(path) || isFolder(path)
}

/** Whether anything has this name. */
export function isThere(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false }) !== undefined
}

function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true
}

function isReviewSheet(path: string): boolean {
  if (statSync(path, { throwIfNoEntry: false })?.isFile() !== true) return false
  return /^workloads[ \t]*:/m.test(readFileSync(path, 'utf8'))
}
