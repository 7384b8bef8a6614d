/// <reference lib="dom" />
import { Unzip, UnzipInflate } from 'fflate'
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'

/** Files by what they are: logs, sheets, and a desk that was saved. */
export interface SortedFiles {
  readonly logs: readonly { readonly name: string; readonly blob: Blob }[]
  readonly sheets: readonly { readonly file: string; readonly text: string }[]
  readonly desks: readonly string[]
}

/** Sheets are short; what is longer is a log that is called one. */
const LARGEST_SHEET_BYTES = 1e6
const LARGEST_DESK_BYTES = 1e9

/**
 * Sorts files by what they are. Folders that are zipped are opened, within limits.
 *
 * @throws InputError `zip-too-large`, `zip-not-readable`
 */
export async function sortFiles(files: readonly File[]): Promise<SortedFiles> {
  const all = (await Promise.all(files.map(opened))).flat()
  const logs: { name: string; blob: Blob }[] = []
  const sheets: { file: string; text: string }[] = []
  const desks: string[] = []
  for (const { name, blob } of all) {
    const head = await blob.slice(0, 64).text()
    if (/\.ya?ml$/i.test(name) && blob.size < LARGEST_SHEET_BYTES)
      sheets.push({ file: name, text: await blob.text() })
    else if (/^\s*\{\s*"format":\s*"holdwatt-desk"/.test(head) && blob.size < LARGEST_DESK_BYTES)
      desks.push(await blob.text())
    else logs.push({ name, blob })
  }
  return { logs, sheets, desks }
}

interface NamedBlob {
  readonly name: string
  readonly blob: Blob
}

async function opened(file: File): Promise<readonly NamedBlob[]> {
  const magic = new Uint8Array(await file.slice(0, 4).arrayBuffer())
  const isZip = magic[0] === 0x50 && magic[1] === 0x4b && magic[2] === 3 && magic[3] === 4
  return isZip ? unzipped(file) : [{ name: file.name, blob: file }]
}

/** So many files, and so many bytes of them, are taken from a zipped folder: an afternoon's logs are a hundredth of it. */
const MOST_FILES = 200
const MOST_BYTES = 200e6

/** A piece unpacks to a thousand times its size at the most (RFC 1951), so that no piece fills the memory. */
const PIECE = 65_536

const WANTED = /\.(csv|tsv|txt|log|ya?ml|json)$/i

async function unzipped(file: File): Promise<readonly NamedBlob[]> {
  const found: NamedBlob[] = []
  let bytes = 0
  let fault: InputError | undefined
  const where = { file: plainText(file.name, 200) }
  const unzip = new Unzip((entry) => {
    const name = entry.name.split('/').at(-1) ?? ''
    if (!WANTED.test(name) || name.startsWith('.') || entry.name.includes('__MACOSX')) return
    if (found.length >= MOST_FILES) fault = tooLarge(`at most ${MOST_FILES} files`, where)
    const pieces: Uint8Array<ArrayBuffer>[] = []
    entry.ondata = (error, data, isLast) => {
      if (error) fault ??= damaged(where)
      bytes += data.length
      if (bytes > MOST_BYTES) fault ??= tooLarge(`at most ${MOST_BYTES / 1e6} MB unpacked`, where)
      if (fault) return
      pieces.push(data.slice())
      if (isLast) found.push({ name, blob: new Blob(pieces) })
    }
    entry.start()
  })
  unzip.register(UnzipInflate)
  for (let at = 0; at < file.size && fault === undefined; at += PIECE) {
    const piece = new Uint8Array(await file.slice(at, at + PIECE).arrayBuffer())
    try {
      unzip.push(piece, at + PIECE >= file.size)
    } catch {
      fault ??= damaged(where)
    }
  }
  if (fault) throw fault
  if (found.length > 0) return found
  throw new InputError('zip-empty', 'expected logs or sheets in the zipped folder, got none', { where })
}

function tooLarge(expected: string, where: { readonly file: string }): InputError {
  return new InputError('zip-too-large', `expected ${expected} in a zipped folder, got more`, {
    where,
    remedy: 'unpack it and drop the files that you want',
  })
}

function damaged(where: { readonly file: string }): InputError {
  return new InputError('zip-not-readable', 'this zipped folder is damaged, or locked with a password', {
    where,
    remedy: 'unpack it yourself and drop the files',
  })
}
