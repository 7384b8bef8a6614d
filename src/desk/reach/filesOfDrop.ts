/// <reference lib="dom" />
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { isWanted, MOST_FILES } from '../state/unzipFile.js'
import { type FolderEntry, folderDropped } from './folderDropped.js'

/** What was dropped: files, those in folders too, and why a folder could not be taken. */
export interface DroppedFiles {
  readonly files: readonly File[]
  readonly faults: readonly InputError[]
}

/** The files of a drop. A folder gives the logs and sheets in it and below, by name. */
export async function filesOfDrop(transfer: DataTransfer): Promise<DroppedFiles> {
  // What was dropped is told only while its event lasts: no waiting before this.
  const dropped = [...transfer.items].map((item) => folderDropped(item) ?? item.getAsFile())
  const found = await Promise.all(
    dropped.map((each) => (each instanceof File ? [each] : each === null ? [] : filesIn(each))),
  )
  return {
    files: found.flatMap((each) => (each instanceof InputError ? [] : each)),
    faults: found.filter((each) => each instanceof InputError),
  }
}

/** A folder with more in it was not meant: a home folder, or a whole disk. */
const MOST_ENTRIES = 20_000

async function filesIn(folder: FolderEntry): Promise<readonly File[] | InputError> {
  const where = { file: plainText(folder.name, 200) }
  const found: FolderEntry[] = []
  const open = [folder]
  let entries = 0
  try {
    for (let next = open.shift(); next !== undefined; next = open.shift()) {
      const inside = [...((await next.list?.()) ?? [])].sort((a, b) => (a.name < b.name ? -1 : 1))
      open.push(...inside.filter(({ list, name }) => list !== undefined && !name.startsWith('.')))
      found.push(...inside.filter(({ file, name }) => file !== undefined && isWanted(name)))
      entries += inside.length
      if (found.length > MOST_FILES || entries > MOST_ENTRIES) return tooMany(where)
    }
    const files = await Promise.all(found.map(({ file }) => file!()))
    return files.length > 0 ? files : empty(where)
  } catch {
    return new InputError('folder-not-readable', 'this folder can’t be read', {
      where,
      remedy: 'drop the files in it',
    })
  }
}

function tooMany(where: { readonly file: string }): InputError {
  return new InputError('folder-too-large', `expected at most ${MOST_FILES} files in a folder, got more`, {
    where,
    remedy: 'drop the files that you want',
  })
}

function empty(where: { readonly file: string }): InputError {
  return new InputError('folder-empty', 'expected logs or sheets in the folder, got none', {
    where,
    remedy: 'a log ends in .csv, .tsv, .txt or .log, a sheet in .yaml',
  })
}
