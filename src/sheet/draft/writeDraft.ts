import { mkdir, stat } from 'node:fs/promises'
import { dirname } from 'node:path'
import { readTextFile } from '../../files/readTextFile.js'
import { writeFileSafely } from '../../files/writeFileSafely.js'

/** A sheet as it stands before it is drafted again. */
export interface SheetBefore {
  readonly text: string
  readonly file: string
}

/**
 * Writes a drafted sheet; one that is there already is added to, and what a person wrote in it stays. A folder that is
 * missing is made.
 *
 * @param format - makes the sheet's text from what stands there
 * @returns the sheet's text
 * @throws InputError `sheet-not-readable` when another kind of file has the name, `file-not-writable`
 */
export async function writeDraft(
  path: string,
  format: (before: SheetBefore | undefined) => string,
): Promise<string> {
  await mkdir(dirname(path), { recursive: true }).catch(() => undefined)
  const isThere = await stat(path).then(
    () => true,
    () => false,
  )
  const before = isThere ? { text: await readTextFile(path), file: path } : undefined
  const text = format(before)
  await writeFileSafely(path, text, { mayReplace: async () => isThere })
  return text
}
