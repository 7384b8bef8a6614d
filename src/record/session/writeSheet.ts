import { rm } from 'node:fs/promises'
import { readHead } from '../../files/readHead.js'
import { writeFileSafely } from '../../files/writeFileSafely.js'
import { SHEET_MARK } from './formatSheet.js'

/**
 * Writes the sheet of a recording. Its name is taken from the log's: a sheet that somebody wrote by hand is never
 * replaced, whatever the log may be; one that a recording made is, as `allowed`.
 *
 * @throws InputError `file-exists`, `file-not-writable`
 */
export async function writeSheet(path: string, text: string, allowed: boolean): Promise<void> {
  const mayReplace = async () => allowed && (await startsWithMark(path))
  await writeFileSafely(path, text, { mayReplace, refusal: REFUSAL })
}

/** Takes a sheet away, if it is one that a recording made. */
export async function removeSheet(path: string): Promise<void> {
  if (await startsWithMark(path).catch(() => false)) await rm(path, { force: true })
}

const REFUSAL = {
  message: 'the sheet of this recording would get this name, and such a file exists already',
  remedy: 'choose another name for the log with --out',
}

async function startsWithMark(path: string): Promise<boolean> {
  return (await readHead(path)).startsWith(SHEET_MARK)
}
