import { stat } from 'node:fs/promises'
import picomatch from 'picomatch'
import { InputError } from '../../../errors.js'
import { type FoundTree, readTree, type TreeWalk } from './readTree.js'

/** A bracket that is opened and not closed before the next slash, or a pattern that is turned into its opposite. */
const SPANS_FOLDERS = /^!|[{([][^})\]]*\//

/** The files that the words of a command line stand for. */
export interface FoundPaths {
  readonly paths: readonly string[]
  /** Whether all were named one by one: none came out of a folder or a pattern. */
  readonly named: boolean
  /** Folders and patterns that gave nothing, and folders below that were left out. */
  readonly faults: readonly InputError[]
}

export interface WalkOptions {
  /** Files and folders that are looked at for one word, at most. */
  readonly most?: number
  /** Told of each of them. */
  readonly onLooked?: () => void
}

/**
 * More than any archive that we know of, and less than a minute of walking: past it a folder was hardly meant as it was named.
 * Whoever has more gives a list, which has no bound.
 */
const MOST_LOOKED_AT = 1_000_000

/**
 * Files, folders and patterns as the files that they stand for, in the order given.
 *
 * A folder stands for the files in it and below that have one of the endings; a pattern (quoted, so that the shell leaves it
 * alone) for the files that match it. Both are sorted by code units, whatever the locale, and walked as `readTree` says. What
 * exists under a name is meant by that name, even where it looks like a pattern.
 *
 * @param words - as on the command line
 * @param endings - of the files that a folder stands for, with the dot, in lower case
 * @returns faults `folder-empty`, `pattern-empty`, `folder-too-large` and those of `readTree`, beside what was found
 */
export async function readPaths(
  words: readonly string[],
  endings: readonly string[],
  options: WalkOptions = {},
): Promise<FoundPaths> {
  const paths = new Set<string>()
  const faults: InputError[] = []
  let named = true
  for (const word of words) {
    const expanded = await expandWord(word, endings, options)
    if (expanded !== undefined) named = false
    for (const path of expanded?.files ?? [word]) paths.add(path)
    faults.push(...(expanded?.faults ?? []))
  }
  // Who names a file twice may mean it; only what a folder or a pattern adds is listed once.
  return { paths: named ? words : [...paths], named, faults }
}

/** What a folder or a pattern stands for; undefined for the name of a file, there or not. */
async function expandWord(
  word: string,
  endings: readonly string[],
  { most = MOST_LOOKED_AT, onLooked }: WalkOptions,
): Promise<FoundTree | undefined> {
  const there = await stat(word).catch(() => undefined)
  if (there?.isDirectory()) {
    const wants = (name: string) => endings.some((ending) => name.toLowerCase().endsWith(ending))
    const walk: TreeWalk = { wants, enters: () => 'found', most, onLooked }
    return findSome(word, walk, folderEmpty(word, endings))
  }
  // What no path can be is a name, and whoever opens it says so: patterns of that length cost minutes, or the stack.
  if (word.length > LONGEST_PATH) return undefined
  const { base, glob, isGlob } = picomatch.scan(word)
  if (there !== undefined || !isGlob) return undefined
  return findSome(base === '' ? '.' : base, { ...patternWalk(glob), most, onLooked }, patternEmpty(word))
}

/** @source PATH_MAX of Linux, limits.h: 4096 bytes with the zero that ends it */
const LONGEST_PATH = 4095

/** Walks a folder; to find none is a fault. */
async function findSome(folder: string, walk: TreeWalk, none: InputError): Promise<FoundTree> {
  const there = await stat(folder).catch(() => undefined)
  if (!there?.isDirectory()) return { files: [], faults: [none] }
  try {
    const { files, faults } = await readTree(folder, walk)
    return { files, faults: files.length === 0 ? [...faults, none] : faults }
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    return { files: [], faults: [error] }
  }
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

/**
 * How a pattern's folder is walked: which files match, and which folders can hold any. The folders that stand in the pattern
 * before a `**` are named by it one by one, so nothing else is entered; below a `**` all are.
 *
 * @param glob - the pattern without the folder that it begins at
 */
function patternWalk(glob: string): Pick<TreeWalk, 'wants' | 'enters'> {
  const wants = picomatch(glob)
  const segments = glob.split('/')
  const anyDepth = segments.findIndex((segment) => segment.includes('**'))
  // Braces and the like may hold slashes: then no segment can be told by itself, only how deep they may go.
  const isWhole = SPANS_FOLDERS.test(glob) || segments.includes('')
  const named = segments.slice(0, anyDepth === -1 ? -1 : anyDepth)
  const matchers = isWhole ? [] : named.map((segment) => picomatch(segment))
  const deepest = anyDepth !== -1 ? Number.POSITIVE_INFINITY : segments.length - 1
  return {
    wants,
    enters: (name) => {
      const parts = name.split('/')
      if (parts.length > deepest) return undefined
      if (!matchers.every((matches, depth) => depth >= parts.length || matches(parts[depth]!)))
        return undefined
      return parts.length <= matchers.length ? 'named' : 'found'
    },
  }
}
