/// <reference lib="dom" />
import { InputError } from '../../errors.js'
import { withFormulas } from '../../log/formula/withFormulas.js'
import { LogParser, type ParserOptions } from '../../log/logParser.js'
import { canDoWithoutTime, namedError } from '../../log/parseLog.js'
import type { ParsedLog } from '../../log/trace.js'
import { type ReadStages, stagesOfLog } from '../../machine/stagesOfLog.js'
import type { LogFile } from './logFile.js'

/** Told how much of the work is done, 0 to 1, and what can be seen of it already, as SVG. */
export type TellShare = (share: number, picture?: string) => void

/** Logs that this worker has read, so that none is read twice; the oldest make room for new ones. */
export interface LogShelf {
  readonly parse: (log: LogFile, tell?: TellShare) => Promise<ParsedLog>
  /** The same with its loads. */
  readonly read: (log: LogFile, tell?: TellShare) => Promise<ReadStages>
}

export function logShelf(): LogShelf {
  const parsed = new Map<string, Promise<ParsedLog>>()
  const stages = new Map<string, Promise<ReadStages>>()
  const parse = (log: LogFile, tell: TellShare = () => {}) =>
    // Which loads are looked at changes no sample.
    kept(parsed, keyOf(asFound(log)), () => readBlob(log, tell))
  return {
    parse,
    read: (log, tell) =>
      kept(stages, keyOf(log), async () =>
        stagesOfLog(await parse(log, tell), {
          file: log.name,
          load: log.options.load,
          loads: log.options.loads,
        }),
      ),
  }
}

/** The same log with the loads that are found in it, whatever a person set. */
export function asFound(log: LogFile): LogFile {
  const { loads: _loads, load: _load, ...options } = log.options
  return { ...log, options }
}

function keyOf({ id, options }: LogFile): string {
  return JSON.stringify([id, options])
}

/** What is kept under a key, made when it isn't there; what fails is not kept. */
export function kept<T>(shelf: Map<string, Promise<T>>, key: string, make: () => Promise<T>): Promise<T> {
  const found = shelf.get(key)
  if (found !== undefined) return found
  const made = make()
  shelf.set(key, made)
  made.catch(() => shelf.delete(key))
  for (const oldest of [...shelf.keys()].slice(0, Math.max(0, shelf.size - MOST_KEPT))) shelf.delete(oldest)
  return made
}

/** Each of the largest logs takes some 60 MB, so that a dozen fits into the memory of a tab. */
const MOST_KEPT = 12

/** Two gigabytes: more than a year of samples a second, and what a browser reads in a minute. */
const LARGEST_LOG_BYTES = 2e9

const PIECE = 2 ** 20

/** As `readLog` does from disk: in pieces, so that the text of a large log is never held whole. */
async function readBlob(log: LogFile, tell: TellShare): Promise<ParsedLog> {
  const { blob, name } = log
  if (blob.size > LARGEST_LOG_BYTES) {
    throw new InputError(
      'file-too-large',
      `expected a log of at most 2 GB, got ${Math.round(blob.size / 1e6)} MB`,
      {
        where: { file: name },
        remedy: 'export fewer columns, or sample less often',
      },
    )
  }
  const options = { ...(await withFormulas(log.options)), file: name }
  try {
    return await parsePieces(blob, options, tell)
  } catch (error) {
    if (!canDoWithoutTime(error, options)) throw namedError(error, options)
    return parsePieces(blob, { ...options, withoutTime: true }, tell)
  }
}

async function parsePieces(blob: Blob, options: ParserOptions, tell: TellShare): Promise<ParsedLog> {
  const parser = new LogParser(options)
  for (let at = 0; at < blob.size; at += PIECE) {
    parser.push(new Uint8Array(await blob.slice(at, at + PIECE).arrayBuffer()))
    tell(Math.min(1, (at + PIECE) / blob.size))
  }
  return parser.finish()
}
