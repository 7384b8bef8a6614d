/// <reference lib="dom" />

/** A file or a folder of a drop: the one has `file`, the other `list`. */
export interface FolderEntry {
  readonly name: string
  readonly list?: () => Promise<readonly FolderEntry[]>
  readonly file?: () => Promise<File>
}

/**
 * The folder that was dropped; null for a file. Chromium lists a folder to a page from the disk by handles alone, and the other browsers
 * know entries alone.
 *
 * @source File and Directory Entries API; File System Access, section 4
 */
export function folderDropped(item: DataTransferItem): FolderEntry | null {
  const entry = item.webkitGetAsEntry()
  if (entry?.isDirectory !== true) return null
  const handle = (item as HandledItem).getAsFileSystemHandle?.()
  if (handle === undefined) return ofEntry(entry)
  return { name: entry.name, list: async () => (await ofHandle(await handle).list?.()) ?? [] }
}

type HandledItem = DataTransferItem & {
  readonly getAsFileSystemHandle?: () => Promise<FileSystemHandle>
}

/** What the compiler's types of the page leave out. */
type ListedHandle = FileSystemDirectoryHandle & { readonly values: () => AsyncIterable<FileSystemHandle> }

function ofHandle(handle: FileSystemHandle): FolderEntry {
  const { name, kind } = handle
  if (kind === 'file') return { name, file: () => (handle as FileSystemFileHandle).getFile() }
  const list = async () => {
    const inside: FolderEntry[] = []
    for await (const each of (handle as ListedHandle).values()) inside.push(ofHandle(each))
    return inside
  }
  return { name, list }
}

function ofEntry(entry: FileSystemEntry): FolderEntry {
  const { name } = entry
  if (entry.isFile)
    return {
      name,
      file: () => new Promise((take, fail) => (entry as FileSystemFileEntry).file(take, fail)),
    }
  return { name, list: () => entriesOf(entry as FileSystemDirectoryEntry) }
}

/** A reader gives some entries at a time, and none at the end. */
async function entriesOf(folder: FileSystemDirectoryEntry): Promise<readonly FolderEntry[]> {
  const reader = folder.createReader()
  const all: FolderEntry[] = []
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((take, fail) => reader.readEntries(take, fail))
    if (some.length === 0) return all
    all.push(...some.map(ofEntry))
  }
}
