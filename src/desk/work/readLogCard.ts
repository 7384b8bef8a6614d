import type { LogColumns, SkippedLine } from '../../log/trace.js'
import type { GivenLoad } from '../../segment/givenSpans.js'
import type { Load } from '../../segment/load.js'
import { headlineOfTrace } from '../../show/page/pageHeadlines.js'
import { sayWarning } from '../../show/text/sayWarning.js'
import { drawBare } from './drawTrace.js'
import type { LogFile } from './logFile.js'
import { asFound, type LogShelf, type TellShare } from './logShelf.js'

/** What the card of a log shows beside its picture. */
export interface LogCardFacts {
  readonly headline: string
  readonly samples: number
  readonly durationS: number
  readonly intervalS: number
  readonly columns: LogColumns
  readonly loads: readonly Load[]
  /** Loads that were found, before a person set others; null where none did. */
  readonly found: readonly GivenLoad[] | null
  /** Time of the first sample that was read, s: a part of a log starts later. */
  readonly startS: number
  readonly warnings: readonly string[]
  /** Lines that were passed over: how many, and the first of them. */
  readonly skipped: { readonly count: number; readonly first: readonly SkippedLine[] }
  /** What was mended or set aside, in words. */
  readonly repairs: readonly string[]
}

/** More lines than these nobody reads. */
const MOST_LINES = 20

/** Of so many samples the loads are found in less than half a second. */
const LONG_LOG = 100_000

/** Reads a log for its card. */
export async function readLogCard(log: LogFile, shelf: LogShelf, tell: TellShare): Promise<LogCardFacts> {
  const { trace: bare } = await shelf.parse(log, tell)
  // The loads of a long log take seconds: its power is shown before.
  if (bare.timesS.length > LONG_LOG) tell(1, await drawBare(log, bare))
  const { log: parsed, loads, warnings } = await shelf.read(log)
  const { trace, columns, skipped, repairs } = parsed
  const isCorrected = log.options.loads !== undefined
  return {
    headline: headlineOfTrace(withoutEnding(log.name), loads),
    samples: trace.timesS.length,
    startS: trace.timesS[0] ?? 0,
    durationS: trace.timesS.at(-1) ?? 0,
    found: isCorrected
      ? (await shelf.read(asFound(log))).loads.map(({ startS, endS }) => ({ startS, endS }))
      : null,
    intervalS: trace.intervalS,
    columns,
    loads,
    // That a person set the loads stands beside them.
    warnings: warnings.filter(({ code }) => code !== 'loads-given').map(sayWarning),
    skipped: { count: skipped.length, first: skipped.slice(0, MOST_LINES) },
    repairs: repairs.map(({ count, detail }) => `${count} × ${detail}`),
  }
}

/** `heron-loop.csv` as people call it: `heron-loop`. */
function withoutEnding(name: string): string {
  return name.replace(/^.*[\\/]/, '').replace(/\.\w{1,5}$/, '')
}
