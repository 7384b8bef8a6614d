import { chooseTest } from '../../sheet/chooseTest.js'
import { readWholeSheet } from '../../sheet/readSheet.js'
import { poweredNames } from '../../sheet/reviewSheet.js'
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
 * order in which the first of each came. A sheet of many workloads is one for each of them, by each metric. A sheet that can't be read stands
 * alone; whoever works on it will say why.
 *
 * @param options.modesApart - each power mode of a sheet as a sheet of its own
 */
export async function groupSheets(
  paths: readonly string[],
  { modesApart } = { modesApart: false },
): Promise<readonly SheetGroup[]> {
  const groups = new Map<string, { paths: string[]; first: TestSheet | undefined }>()
  const tried = async (path: string) => testsAt(path, modesApart).catch(() => [{ path, sheet: undefined }])
  for await (const tests of inOrder(paths, tried, OPEN_AT_ONCE)) {
    for (const { path, sheet } of tests) {
      const key = sheet === undefined ? path : groupKey(sheet)
      const group = groups.get(key)
      if (group === undefined) groups.set(key, { paths: [path], first: sheet })
      else group.paths.push(path)
    }
  }
  return [...groups.values()]
}

/** The tests of a sheet, each with the path that names it. */
async function testsAt(
  path: string,
  modesApart: boolean,
): Promise<readonly { readonly path: string; readonly sheet: TestSheet }[]> {
  const whole = await readWholeSheet(path)
  const names = 'tests' in whole ? poweredNames(whole) : ['']
  return names.flatMap((name) => {
    const { trials } = chooseTest(whole, name)
    const modes = [...new Set(trials.map(({ mode }) => mode ?? ''))]
    const apart = modesApart && modes.length > 1 ? modes.map((mode) => `${name} @ ${mode}`) : [name]
    return apart.map((asked) => ({
      path: asked === '' ? path : `${path}#${asked}`,
      sheet: chooseTest(whole, asked === '' ? undefined : asked),
    }))
  })
}
