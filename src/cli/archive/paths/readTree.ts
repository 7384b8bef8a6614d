import type { Dirent } from 'node:fs'
import { opendir, stat, statfs } from 'node:fs/promises'
import { join } from 'node:path'
import { InputError } from '../../../errors.js'

const SYSTEM_TYPES: ReadonlySet<number> = new Set([
  0x9fa0, // proc
  0x62656572, // sysfs
  0x1cd1, // devpts
  0x27e0eb, // cgroup
  0x63677270, // cgroup2
  0x64626720, // debugfs
  0x74726163, // tracefs
  0x73636673, // securityfs
  0xf97cff8c, // selinux
  0xcafe4a11, // bpf
  0x6165676c, // pstore
  0xde5e81e4, // efivarfs
  0x42494e4d, // binfmt_misc
  0x6e736673, // nsfs
])

/** What is looked for below a folder. Names are told from where the walk began: `deep/er/c.csv`. */
export interface TreeWalk {
  readonly wants: (name: string) => boolean
  /**
   * Whether a folder is entered: `named` where the user's words name it, `found` where the walk came upon it, undefined where
   * nothing that is wanted can be below.
   */
  readonly enters: (name: string) => 'named' | 'found' | undefined
  /** Files and folders that are looked at, at most. */
  readonly most: number
  /** Told of each of them. */
  readonly onLooked?: (() => void) | undefined
}

/** What a walk gave. */
export interface FoundTree {
  /** Paths, sorted by code units. */
  readonly files: readonly string[]
  /** Folders that were left out, each with the reason. */
  readonly faults: readonly InputError[]
}

/**
 * The wanted files in a folder and below.
 *
 * Hidden files and folders are passed over. Links count as what they lead to, each folder once, so that links in a circle end. The
 * walk stays on the file system that it began on, as what is mounted below is another disk or none at all; it crosses over
 * where the user's words name the folder, and where somebody laid a link. It enters nothing that shows the state of the system
 * (`/proc`, `/sys`). A folder that can't be read is told, and the rest goes on.
 *
 * @returns faults `folder-not-readable`, `folder-elsewhere`
 * @throws InputError `folder-not-readable`, `folder-of-system` for the folder itself; `folder-too-large`
 */
export async function readTree(folder: string, walk: TreeWalk): Promise<FoundTree> {
  const reader = new TreeReader(folder, walk)
  await reader.read()
  return { files: reader.files.sort(byCodeUnits), faults: reader.faults }
}

/** A folder or a link on the way. */
interface Place {
  readonly path: string
  readonly name: string
}

/** Entries asked of the system at once: its own default of 32 makes large folders several times slower. */
const ENTRIES_AT_ONCE = 1024

class TreeReader {
  readonly files: string[] = []
  readonly faults: InputError[] = []
  private readonly links: Place[] = []
  /** Folders by device and number there. */
  private readonly entered = new Set<string>()
  private looked = 0

  constructor(
    private readonly folder: string,
    private readonly walk: TreeWalk,
  ) {}

  async read(): Promise<void> {
    await this.readFolder({ path: this.folder, name: '' }, undefined).catch((error) => {
      throw asInputError(error, this.folder)
    })
    // Links last: what stands in the tree itself is listed under its own name.
    for (let link = this.links.shift(); link !== undefined; link = this.links.shift()) {
      const target = await stat(link.path).catch(() => undefined)
      if (target?.isFile() && this.walk.wants(link.name)) this.files.push(link.path)
      if (target?.isDirectory() && this.walk.enters(link.name)) await this.tryFolder(link, undefined)
    }
  }

  /** @param device - the file system to stay on; undefined for any */
  private async tryFolder(place: Place, device: bigint | undefined): Promise<void> {
    try {
      await this.readFolder(place, device)
    } catch (error) {
      const fault = asInputError(error, place.path)
      if (fault.code === 'folder-too-large') throw fault
      this.faults.push(fault)
    }
  }

  private async readFolder({ path, name }: Place, device: bigint | undefined): Promise<void> {
    const { dev, ino } = await stat(path, { bigint: true })
    if (this.entered.has(`${dev}:${ino}`)) return
    if (dev !== device && isPseudoFileSystem((await statfs(path)).type)) {
      // Nobody who names a whole disk means these; who names one of them learns why it gives nothing.
      if (path === this.folder) throw folderOfSystem(path)
      return
    }
    if (device !== undefined && dev !== device) throw folderElsewhere(path)
    this.entered.add(`${dev}:${ino}`)
    for (const entry of await this.entriesOf(path)) {
      const inner = { path: join(path, entry.name), name: name === '' ? entry.name : `${name}/${entry.name}` }
      if (entry.isSymbolicLink()) this.links.push(inner)
      else if (entry.isFile() && this.walk.wants(inner.name)) this.files.push(inner.path)
      else if (entry.isDirectory()) {
        const entering = this.walk.enters(inner.name)
        if (entering !== undefined) await this.tryFolder(inner, entering === 'named' ? undefined : dev)
      }
    }
  }

  /** What is in a folder and not hidden, sorted. */
  private async entriesOf(path: string): Promise<readonly Dirent[]> {
    const entries: Dirent[] = []
    for await (const entry of await opendir(path, { bufferSize: ENTRIES_AT_ONCE })) {
      this.looked += 1
      this.walk.onLooked?.()
      if (this.looked > this.walk.most) throw folderTooLarge(this.folder, this.walk.most, path)
      if (!entry.name.startsWith('.')) entries.push(entry)
    }
    return entries.sort((a, b) => byCodeUnits(a.name, b.name))
  }
}

/** What the system has against a folder is the user's to mend. */
function asInputError(error: unknown, folder: string): InputError {
  if (error instanceof InputError) return error
  if (!(error instanceof Error && 'code' in error)) throw error
  return new InputError('folder-not-readable', `this folder cannot be read: ${error.code}`, {
    where: { file: folder },
    remedy: 'change its permissions, or name what is wanted without it',
  })
}

function folderElsewhere(folder: string): InputError {
  return new InputError('folder-elsewhere', 'this folder is on another file system and was left out', {
    where: { file: folder },
    remedy: 'name it as well, if it holds what is wanted',
  })
}

function folderOfSystem(folder: string): InputError {
  return new InputError('folder-of-system', 'this folder shows the state of the system and holds no files', {
    where: { file: folder },
    remedy: 'copy what is wanted into a file elsewhere, or name the file itself',
  })
}

function folderTooLarge(folder: string, most: number, reached: string): InputError {
  const bound = most.toLocaleString('en')
  return new InputError(
    'folder-too-large',
    `there are more than ${bound} files and folders in this folder and below, so all of it was left out (the walk had come to ${reached})`,
    {
      where: { file: folder },
      remedy:
        'name the folder that holds the logs or sheets more closely, or give their paths with --from-list',
    },
  )
}

/** Orders names by their code units: the same everywhere, whatever the locale. */
function byCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
/**
 * Whether a file system of this type shows the state of the system (processes, devices, settings) in the form of files: there are
 * no logs in it, its files change while they are read, and reading some of them does things.
 *
 * @param type - as `statfs` tells it; other systems than Linux use other numbers, none of which is here
 * @source Linux, include/uapi/linux/magic.h
 */
function isPseudoFileSystem(type: number): boolean {
  return SYSTEM_TYPES.has(type)
}
