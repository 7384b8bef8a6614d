import { InputError } from '../../errors.js'
import type { Context } from '../context.js'
import { tellMeanwhile } from '../output/tellMeanwhile.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { readDone, taskKey } from './paths/readDone.js'
import { readList } from './paths/readList.js'
import { readPaths } from './paths/readPaths.js'

/** What is to be worked on: the files of each task, in order. */
export interface ArchiveTasks {
  readonly tasks: AsyncIterable<readonly string[]> | Iterable<readonly string[]>
  /** How many; undefined for a list, which is read as it comes. */
  readonly total: number | undefined
  /** Whether the user named every file, as for one answer about all of them. */
  readonly named: boolean
  /** Folders and patterns that gave nothing, and folders that were left out. */
  readonly faults: readonly InputError[]
}

interface TaskSource {
  readonly command: string
  readonly words: readonly string[]
  readonly options: ArchiveOptions & { readonly json?: boolean }
  /** Endings of the files that a folder stands for. */
  readonly endings: readonly string[]
  /** Files that belong together, from all files; each by itself when left out. */
  readonly group?: (paths: readonly string[]) => Promise<readonly (readonly string[])[]>
  /** Files that belong together, from a line of a list; the line is one path when left out. */
  readonly split?: (line: string) => readonly string[]
}

export const LOG_ENDINGS = ['.csv', '.tsv', '.txt', '.log'] as const
export const SHEET_ENDINGS = ['.yaml', '.yml'] as const

/**
 * The tasks of a command line: of its files, folders and patterns, or of a list, less what an earlier run has done.
 *
 * @throws InputError `list-and-files`, `resume-without-lines`, and those of reading list and results
 */
export async function archiveTasks(source: TaskSource, context: Context): Promise<ArchiveTasks> {
  const { fromList, resumeFrom, jsonLines } = source.options
  if (resumeFrom !== undefined && jsonLines !== true) {
    throw new InputError('resume-without-lines', '--resume-from goes on with results of --json-lines', {
      remedy: 'add --json-lines',
    })
  }
  const done =
    resumeFrom === undefined ? undefined : await readDone(resumeFrom, source.command, context.stdoutFd)
  if (fromList !== undefined) return listTasks(source, fromList, done, context)
  const walking = tellWalking(context)
  const { paths, named, faults } = await readPaths(source.words, source.endings, walking).finally(
    walking.stop,
  )
  if (paths.length === 0) throw nothingFound(faults)
  const groups = (await source.group?.(paths)) ?? paths.map((path) => [path])
  const tasks = done === undefined ? groups : groups.filter((group) => !done.has(taskKey(group)))
  return { tasks, total: tasks.length, named, faults }
}

function nothingFound([first, ...others]: readonly InputError[]): InputError {
  return new InputError(first!.code, first!.message, { ...first!.details, others })
}

function listTasks(
  { words, split = (line) => [line] }: TaskSource,
  list: string,
  done: ReadonlySet<string> | undefined,
  context: Context,
): ArchiveTasks {
  if (words.length > 0) {
    throw new InputError('list-and-files', 'expected either files or --from-list, got both', {
      remedy: 'put the files into the list',
    })
  }
  const lines = readList(list, context.readIn ?? nothing)
  return { tasks: remaining(lines, split, done), total: undefined, named: false, faults: [] }
}

async function* remaining(
  lines: AsyncIterable<string>,
  split: (line: string) => readonly string[],
  done: ReadonlySet<string> | undefined,
): AsyncGenerator<readonly string[]> {
  for await (const line of lines) {
    const paths = split(line)
    if (done === undefined || !done.has(taskKey(paths))) yield paths
  }
}

async function* nothing(): AsyncGenerator<Uint8Array> {}

/** Follows the walk through folders. */
interface WalkingTold {
  readonly onLooked: () => void
  readonly stop: () => void
}

/** Says on stderr that folders are still being looked through, and how much was seen. */
export function tellWalking(context: Pick<Context, 'stderrIsTerminal' | 'writeErr'>): WalkingTold {
  let looked = 0
  const stop = tellMeanwhile(
    context,
    () => `looking through folders: ${looked.toLocaleString('en')} files and folders so far`,
  )
  return {
    onLooked: () => {
      looked += 1
    },
    stop,
  }
}
