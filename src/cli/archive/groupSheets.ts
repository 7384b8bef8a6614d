import { readSheet } from '../../sheet/readSheet.js'
import { groupKey, type TestSheet } from '../../sheet/testSheet.js'
import { inOrder } from './workers/inOrder.js'

/** Sheets that are fitted together. */
export interface SheetGroup {
  readonly paths: readonly string[]
  /** The first of them; undefined for a sheet that can't be read. */
  readonly first: TestSheet | undefined
}

/** Few enough to be open at once whatever the system's limit, many enough to keep a disk busy. */
const OPEN_AT_ONCE = 16

/**
 * Sheets by chip and workload, as section 2 of cli/README.md has it ("sheets with the same chip and workload are fitted together"), in the
 * order in which the first of each came. A sheet that can't be read stands alone; whoever works on it will say why.
 */
export async function groupSheets(paths: readonly string[]): Promise<readonly SheetGroup[]> {
  const groups = new Map<string, { paths: string[]; first: TestSheet | undefined }>()
  const tried = async (path: string) => ({ path, sheet: await readSheet(path).catch(() => undefined) })
  for await (const { path, sheet } of inOrder(paths, tried, OPEN_AT_ONCE)) {
    const key = sheet === undefined ? path : groupKey(sheet)
    const group = groups.get(key)
    if (group === undefined) groups.set(key, { paths: [path], first: sheet })
    else group.paths.push(path)
  }
  return [...groups.values()]
}
