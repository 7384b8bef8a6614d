import { InputError } from '../../errors.js'
import { rateBlocks } from '../../fit/rate/rateBlocks.js'
import type { ParsedLog } from '../../log/trace.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { Load } from '../../segment/load.js'
import type { LoggedTrial } from '../../sheet/testSheet.js'
import type { Warning } from '../../warnings.js'
import type { PlacedRuns } from './placeUntimed.js'

/**
 * Runs of a trial whose log has the pace of the work beside the power: blocks of the loads' whole course, each as good as a scored run.
 *
 * @throws InputError `rate-empty` where the column holds no number above zero in any load
 */
export function runsFromRate(
  trial: LoggedTrial,
  workload: Workload,
  { log, loads }: { readonly log: ParsedLog; readonly loads: readonly Load[] },
): PlacedRuns {
  const spans = loads.flatMap((load) => load.runs.map(({ startS, endS }) => ({ startS, endS })))
  const isTime = workload.better === 'lower'
  const found = log.trace.rate == null ? undefined : rateBlocks(log.trace, spans, isTime)
  if (loads.length > 0 && (found === undefined || found.blocks.length === 0)) throw rateEmpty(trial, log)
  if (found === undefined) return { runs: [], warnings: [] }
  const { blocks, lagS, blockS, correlationS } = found
  const runs = blocks.map((block) => ({ ...block, placedBy: 'rate' as const }))
  const warnings: Warning[] = []
  if (Math.abs(lagS) > LAG_INTERVALS * log.trace.intervalS)
    warnings.push({ code: 'rate-lags', file: trial.log, lagS })
  if (correlationS > blockS / FEW_TIMES) {
    warnings.push({ code: 'rate-wanders', file: trial.log, correlationS, blocks: blocks.length })
  }
  return { runs, warnings }
}

/** A lag of one interval is how two columns of one row may be taken. */
const LAG_INTERVALS = 1.5
/** Blocks shorter than two correlation times share a good part of their noise. */
const FEW_TIMES = 2

function rateEmpty(trial: LoggedTrial, { columns }: ParsedLog): InputError {
  return new InputError(
    'rate-empty',
    `the column "${columns.rate}" holds no pace above zero while the machine works`,
    {
      where: trial.at,
      remedy:
        'name the column that holds the work done per second (or the time per piece of work, where lower is better)',
    },
  )
}
