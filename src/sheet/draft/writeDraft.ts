import { stat } from 'node:fs/promises'
import { readTextFile } from '../../files/readTextFile.js'
import { writeFileSafely } from '../../files/writeFileSafely.js'
import { type DraftHead, type DraftTrial, formatDraft } from './formatDraft.js'

/**
 * Writes a drafted sheet; one that is there already is added to, and what a person wrote in it stays.
 *
 * @returns the sheet's text
 * @throws InputError `sheet-not-readable` when another kind of file has the name, `file-not-writable`
 */
export async function writeDraft(
  path: string,
  head: DraftHead,
  trials: readonly DraftTrial[],
): Promise<string> {
  const isThere = await stat(path).then(
    () => true,
    () => false,
  )
  const before = isThere ? { text: await readTextFile(path), file: path } : undefined
  const text = formatDraft(head, trials, before)
  await writeFileSafely(path, text, { mayReplace: async () => isThere })
  return text
}
