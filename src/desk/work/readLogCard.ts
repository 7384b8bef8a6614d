import type { LogColumns, SkippedLine } from '../../log/trace.js'
import type { Load } from '../../segment/load.js'
import { headlineOfTrace } from '../../show/page/pageHeadlines.js'
import { sayWarning } from '../../show/text/sayWarning.js'
import type { LogFile } from './logFile.js'
import type { LogShelf, TellShare } from './logShelf.js'

/** What the card of a log shows beside its picture. */
export interface LogCardFacts {
  readonly headline: string
  readonly samples: number
  readonly durationS: number
  readonly intervalS: number
  readonly columns: LogColumns
  readonly loads: readonly Load[]
  readonly warnings: readonly string[]
  /** Lines that were passed over: how many, and the first of them. */
  readonly skipped: { readonly count: number; readonly first: readonly SkippedLine[] }
  /** What was mended or set aside, in words. */
  readonly repairs: readonly string[]
}

/** More lines than these nobody reads. */
const MOST_LINES = 20

/** Reads a log for its card. */
export async function readLogCard(log: LogFile, shelf: LogShelf, tell: TellShare): Promise<LogCardFacts> {
  const { log: parsed, loads, warnings } = await shelf.read(log, tell)
  const { trace, columns, skipped, repairs } = parsed
  return {
    headline: headlineOfTrace(withoutEnding(log.name), loads),
    samples: trace.timesS.length,
    durationS: trace.timesS.at(-1) ?? 0,
    intervalS: trace.intervalS,
    columns,
    loads,
    warnings: warnings.map(sayWarning),
    skipped: { count: skipped.length, first: skipped.slice(0, MOST_LINES) },
    repairs: repairs.map(({ count, detail }) => `${count} × ${detail}`),
  }
}

/** `heron-loop.csv` as people call it: `heron-loop`. */
function withoutEnding(name: string): string {
  return name.replace(/^.*[\\/]/, '').replace(/\.\w{1,5}$/, '')
}
