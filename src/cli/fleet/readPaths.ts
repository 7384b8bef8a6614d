import type { Dirent } from 'node:fs'
import { readdir, realpath, stat } from 'node:fs/promises'
import { join } from 'node:path'
import picomatch from 'picomatch'
import { InputError } from '../../errors.js'

/** The files that the words of a command line stand for. */
export interface FoundPaths {
  readonly paths: readonly string[]
  /** Whether all were named one by one: none came out of a folder or a pattern. */
  readonly named: boolean
  /** Folders and patterns that gave nothing. */
  readonly faults: readonly InputError[]
}

/**
 * Files, folders and patterns as the files that they stand for, in the order given.
 *
 * A folder stands for the files in it and below that have one of the endings; a pattern (quoted, so that the shell leaves it
 * alone) for the files that match it. Both are sorted by code units, whatever the locale. What exists under a name is
 * meant by that name, even where it looks like a pattern. Hidden files and folders are passed over. Links count as what
 * they lead to, each folder once, so that links in a circle end.
 *
 * @param words - as on the command line
 * @param endings - of the files that a folder stands for, with the dot, in lower case
 * @returns faults `folder-empty`, `folder-not-readable` and `pattern-empty` beside what was found
 */
export async function readPaths(words: readonly string[], endings: readonly string[]): Promise<FoundPaths> {
  const paths = new Set<string>()
  const faults: InputError[] = []
  let named = true
  for (const word of words) {
    const expanded = await expandWord(word, endings, faults)
    if (expanded !== undefined) named = false
    for (const path of expanded ?? [word]) paths.add(path)
  }
  // Who names a file twice may mean it; only what a folder or a pattern adds is listed once.
  return { paths: named ? words : [...paths], named, faults }
}

/** What a folder or a pattern stands for; undefined for the name of a file, there or not. */
async function expandWord(
  word: string,
  endings: readonly string[],
  faults: InputError[],
): Promise<readonly string[] | undefined> {
  const there = await stat(word).catch(() => undefined)
  if (there?.isDirectory()) {
    const files = await walk(word, Number.POSITIVE_INFINITY, faults)
    const wanted = files.filter((path) => endings.some((ending) => path.toLowerCase().endsWith(ending)))
    if (wanted.length === 0) faults.push(folderEmpty(word, endings))
    return wanted
  }
  const { base, glob, isGlob } = picomatch.scan(word)
  if (there !== undefined || !isGlob) return undefined
  const matching = await matchingFiles(base === '' ? '.' : base, glob, faults)
  if (matching.length === 0) faults.push(patternEmpty(word))
  return matching
}

async function matchingFiles(folder: string, glob: string, faults: InputError[]): Promise<readonly string[]> {
  const isMatch = picomatch(glob)
  const depth = glob.includes('**') ? Number.POSITIVE_INFINITY : glob.split('/').length
  const isThere = await stat(folder).then(
    (it) => it.isDirectory(),
    () => false,
  )
  const start = folder === '.' ? 0 : join(folder, 'x').length - 1
  const files = isThere ? await walk(folder, depth, faults) : []
  return files.filter((path) => isMatch(path.slice(start)))
}

/** All files in a folder and below, sorted. */
async function walk(folder: string, depth: number, faults: InputError[]): Promise<readonly string[]> {
  const files: string[] = []
  const links: { readonly path: string; readonly left: number }[] = []
  const seen = new Set<string>()
  const visit = async (path: string, left: number): Promise<void> => {
    const real = await realpath(path).catch(() => path)
    if (seen.has(real)) return
    seen.add(real)
    for (const entry of await entriesOf(path, faults)) {
      if (entry.name.startsWith('.')) continue
      const inner = join(path, entry.name)
      if (entry.isFile()) files.push(inner)
      else if (entry.isDirectory() && left > 1) await visit(inner, left - 1)
      else if (entry.isSymbolicLink()) links.push({ path: inner, left })
    }
  }
  await visit(folder, depth)
  // Links last: what stands in the tree itself is listed under its own name.
  for (let link = links.shift(); link !== undefined; link = links.shift()) {
    const target = await stat(link.path).catch(() => undefined)
    if (target?.isDirectory() && link.left > 1) await visit(link.path, link.left - 1)
    else if (target?.isFile()) files.push(link.path)
  }
  return files.sort(byCodeUnits)
}

async function entriesOf(folder: string, faults: InputError[]): Promise<readonly Dirent[]> {
  try {
    return (await readdir(folder, { withFileTypes: true })).sort((a, b) => byCodeUnits(a.name, b.name))
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
    faults.push(
      new InputError('folder-not-readable', `this folder cannot be read: ${code}`, {
        where: { file: folder },
        remedy: 'change its permissions, or name what is wanted without it',
      }),
    )
    return []
  }
}

function byCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

function folderEmpty(folder: string, endings: readonly string[]): InputError {
  return new InputError('folder-empty', `this folder holds no file that ends in ${endings.join(', ')}`, {
    where: { file: folder },
    remedy: 'name the files, or a pattern in quotes such as "FOLDER/*.dat"',
  })
}

function patternEmpty(pattern: string): InputError {
  return new InputError('pattern-empty', 'no file matches this pattern', {
    where: { file: pattern },
    remedy: '`*` stands for any name, `**` for any folders; quote it, so that the shell leaves it alone',
  })
}
