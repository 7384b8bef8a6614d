import { fstatSync } from 'node:fs'
import { stat, truncate } from 'node:fs/promises'
import { InputError } from '../../../errors.js'
import { openPieces } from './readList.js'
import { splitLines } from './splitLines.js'

/** A line holds one document; a log of a million passed-over lines has the longest. */
const LONGEST_LINE = 400_000_000

/**
 * What an earlier run has done: the tasks of a file of its JSON Lines, by `taskKey`.
 *
 * A line that holds an error is not done: what was wrong may have been mended. A last line that nothing ends was being
 * written when the run was stopped: it is not done either, and where standard output is appended to that very file
 * (`>> OUT.jsonl`), it is cut off, so that the file goes on with whole lines.
 *
 * @param file - as an earlier run of the same command wrote it
 * @param command - the one that runs now
 * @param stdoutFd - where the rest will be written; undefined when it is not known
 * @throws InputError `resume-wrong` when the file holds something else; `file-missing`, `file-not-readable`
 */
export async function readDone(
  file: string,
  command: string,
  stdoutFd: number | undefined,
): Promise<ReadonlySet<string>> {
  const done = new Set<string>()
  let lineNumber = 0
  let halfBytes = 0
  for await (const { text, ended, bytes = 0 } of splitLines(await openPieces(file), {
    most: LONGEST_LINE,
    file,
  })) {
    lineNumber += 1
    if (!ended) halfBytes = bytes
    else if (text.trim() !== '') {
      const line = parseDone(text, { file, line: lineNumber }, command)
      if (line.error === undefined) done.add(taskKey(line.paths ?? [line.path]))
      else done.delete(taskKey(line.paths ?? [line.path]))
    }
  }
  if (halfBytes > 0 && (await isFileOf(file, stdoutFd))) {
    const { size } = await stat(file)
    await truncate(file, size - halfBytes)
  }
  return done
}

/** What tells one task from others: the files that it reads. */
export function taskKey(paths: readonly string[]): string {
  return paths.join('\t')
}

interface DoneLine {
  readonly path: string
  readonly paths?: readonly string[]
  readonly command: string
  readonly error?: unknown
}

function parseDone(
  text: string,
  where: { readonly file: string; readonly line: number },
  command: string,
): DoneLine {
  const line = parsed(text)
  if (isDoneLine(line) && line.command === command) return line
  const what = isDoneLine(line) ? `results of \`${line.command}\`` : 'something else'
  throw new InputError('resume-wrong', `expected results of \`${command} --json-lines\`, got ${what}`, {
    where,
    remedy: 'name the file that an earlier run of the same command wrote',
  })
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return undefined
  }
}

function isDoneLine(line: unknown): line is DoneLine {
  return typeof line === 'object' && line !== null && 'path' in line && 'command' in line
}

async function isFileOf(file: string, descriptor: number | undefined): Promise<boolean> {
  if (descriptor === undefined) return false
  try {
    const [open, there] = [fstatSync(descriptor), await stat(file)]
    return open.isFile() && open.ino === there.ino && open.dev === there.dev
  } catch {
    return false
  }
}
