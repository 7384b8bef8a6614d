/// <reference lib="dom" />
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { type NamedBlob, unzipFile } from './unzipFile.js'

/** Files by what they are: logs, sheets, and a desk that was saved. */
export interface SortedFiles {
  readonly logs: readonly NamedBlob[]
  readonly sheets: readonly { readonly file: string; readonly text: string }[]
  readonly desks: readonly string[]
  /** Why a file could not be taken: the others are. */
  readonly faults: readonly InputError[]
}

/** Sheets are short; what is longer is a log that is called one. */
const LARGEST_SHEET_BYTES = 1e6
const LARGEST_DESK_BYTES = 1e9

/** Sorts files by what they are. Folders that are zipped are opened, within limits. A file that can't be read is told, and the rest are taken. */
export async function sortFiles(files: readonly File[]): Promise<SortedFiles> {
  const opened = await Promise.all(files.map(openFile))
  const logs: NamedBlob[] = []
  const sheets: { file: string; text: string }[] = []
  const desks: string[] = []
  for (const { name, blob } of opened.flatMap((each) => (each instanceof InputError ? [] : each))) {
    const head = await blob.slice(0, 64).text()
    if (/\.ya?ml$/i.test(name) && blob.size < LARGEST_SHEET_BYTES)
      sheets.push({ file: name, text: await blob.text() })
    else if (/^\s*\{\s*"format":\s*"holdwatt-desk"/.test(head) && blob.size < LARGEST_DESK_BYTES)
      desks.push(await blob.text())
    else logs.push({ name, blob })
  }
  return { logs, sheets, desks, faults: opened.filter((each) => each instanceof InputError) }
}

async function openFile(file: File): Promise<readonly NamedBlob[] | InputError> {
  try {
    const magic = new Uint8Array(await file.slice(0, 4).arrayBuffer())
    const isZip = magic[0] === 0x50 && magic[1] === 0x4b && magic[2] === 3 && magic[3] === 4
    return isZip ? await unzipFile(file) : [{ name: file.name, blob: file }]
  } catch (error) {
    return error instanceof InputError ? error : unreadable(file)
  }
}

/** The browser has only a name: the file is gone from the disk, or may not be read. */
function unreadable({ name }: File): InputError {
  return new InputError('file-not-readable', 'this file can’t be read', {
    where: { file: plainText(name, 200) },
    remedy: 'see that it is still there and not open in another program, and drop it again',
  })
}
