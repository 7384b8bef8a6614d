import type { LogOptions, ParsedLog } from '../log/trace.js'
import { findGaps } from '../segment/findGaps.js'
import type { Load } from '../segment/load.js'
import { requirePlausible } from '../segment/requirePlausible.js'
import { warnOfGivenLoads } from '../segment/resolveLoads.js'
import type { Warning } from '../warnings.js'
import { type ChosenLoads, chooseLoads } from './chooseLoads.js'
import { warnOfRepairs } from './warnOfRepairs.js'

export interface ReadStages extends ChosenLoads {
  readonly log: ParsedLog
  readonly warnings: readonly Warning[]
}

/**
 * The loads of a log with their stages, and what is to be said of them.
 *
 * @param named.file - the log's name, for warnings
 * @param named.load - which of its loads, counted from 1; all when left out
 * @param named.loads - loads as a person set them, in place of those that would be found
 * @throws InputError `load-missing`, `power-implausible`
 */
export function stagesOfLog(
  log: ParsedLog,
  {
    file,
    load,
    loads: given,
  }: { readonly file: string; readonly load?: number | undefined; readonly loads?: LogOptions['loads'] },
): ReadStages {
  const chosen = chooseLoads(log.trace, { load, loads: given, log: file })
  const { loads } = chosen
  requirePlausible(log, loads, file)
  const unsettled = loads.filter((each) => !each.sustained.reached)
  return {
    log,
    ...chosen,
    warnings: [
      ...(loads.length === 0 ? [{ code: 'no-load', file } as const] : []),
      ...warnOfGivenLoads(given, file),
      ...warnOfRepairs(log, file),
      ...warnOfGaps(log, loads),
      ...loads
        .filter(({ unresolved }) => unresolved)
        .map(({ startS }) => {
          const { intervalS } = log.trace
          return { code: 'samples-too-far-apart', atS: startS, intervalS } as const
        }),
      ...unsettled.map(
        (each) => ({ code: 'not-settled', atS: each.endS, bounds: each.sustained.bounds }) as const,
      ),
    ],
  }
}

/** Gaps that may hide a stage: what the audit calls unsafe. */
function warnOfGaps({ trace }: ParsedLog, loads: readonly Load[]): readonly Warning[] {
  return findGaps(trace, loads)
    .filter(({ place, hidesStage }) => place === 'jump' || (place === 'load' && hidesStage))
    .map(({ atS, forS }) => ({ code: 'gap-in-load', atS, forS }))
}
