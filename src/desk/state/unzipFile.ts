/// <reference lib="dom" />
import { Unzip, UnzipInflate } from 'fflate'
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'

/** What is in a file, under a name without folders. */
export interface NamedBlob {
  readonly name: string
  readonly blob: Blob
}

/** So many files, and so many bytes of them, are taken from a folder: an afternoon's logs are a hundredth of it. */
export const MOST_FILES = 200
const MOST_BYTES = 200e6

/** A piece unpacks to a thousand times its size at the most (RFC 1951), so that no piece fills the memory. */
const PIECE = 65_536

const WANTED = /\.(csv|tsv|txt|log|ya?ml|json)$/i

/** Whether a file of a folder is one for the desk, by its name. */
export function isWanted(name: string): boolean {
  return WANTED.test(name) && !name.startsWith('.')
}

/**
 * The logs and sheets of a zipped folder, piece by piece, within limits.
 *
 * @throws InputError `zip-too-large`, `zip-not-readable`, `zip-empty`, `spreadsheet`
 */
export async function unzipFile(file: File): Promise<readonly NamedBlob[]> {
  const found: NamedBlob[] = []
  let bytes = 0
  let isSpreadsheet = false
  let fault: InputError | undefined
  const where = { file: plainText(file.name, 200) }
  const unzip = new Unzip((entry) => {
    const name = entry.name.split('/').at(-1) ?? ''
    isSpreadsheet ||= SPREADSHEET.test(entry.name)
    if (!isWanted(name) || entry.name.includes('__MACOSX')) return
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
  if (isSpreadsheet) throw spreadsheet(where)
  if (fault) throw fault
  if (found.length > 0) return found
  throw new InputError('zip-empty', 'expected logs or sheets in the zipped folder, got none', {
    where,
    remedy: `a log ends in .csv, .tsv, .txt or .log, a sheet in .yaml`,
  })
}

/** Spreadsheets are zipped folders too: parts that only theirs have (ISO/IEC 29500-1, 12.3; OpenDocument 1.3 part 2, 3.1). */
const SPREADSHEET = /^(xl\/workbook\.\w+|content\.xml)$/

function spreadsheet(where: { readonly file: string }): InputError {
  return new InputError('spreadsheet', 'expected text, got a file of a spreadsheet program', {
    where,
    remedy: 'save its table as CSV there, and drop that',
  })
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
