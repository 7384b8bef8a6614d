import type { ParsedLog, Trace } from '../../log/trace.js'
import type { Load, Stage } from '../../segment/load.js'
import { type BudgetShares, shareBudget } from '../../segment/shareBudget.js'

interface StagesAnswer {
  readonly path: string
  readonly log: ParsedLog
  readonly loads: readonly Load[]
  /** Number of each load in its log, counted from 1. */
  readonly numbers: readonly number[]
}

/** The fields of `stages --json` (section 3 of cli/README.md). */
export function stagesDocument({ path, log, loads, numbers }: StagesAnswer): object {
  const { trace, columns, skipped, repairs } = log
  return {
    log: {
      path,
      samples: trace.timesS.length,
      durationS: trace.timesS[trace.timesS.length - 1]!,
      intervalS: trace.intervalS,
      timeColumn: columns.time,
      powerColumn: columns.power,
      temperatureColumn: columns.temperature,
      clockColumn: columns.clock,
      limitColumn: columns.limit,
      useColumn: columns.use,
      reasonsColumn: columns.reasons,
      temperatureColumns: columns.temperatures,
      device: columns.device,
      skipped,
      mendings: repairs,
    },
    loads: loads.map((load, index) => ({
      number: numbers[index]!,
      startS: load.startS,
      endS: load.endS,
      stages: load.stages.map((stage) => ({ ...stageFields(stage), ...sharesOf(trace, load, stage) })),
      sustained: load.sustained,
      runs: load.runs,
      noiseW: load.noiseW,
      autocorrelation: load.autocorrelation,
      spikesAtS: load.spikesAtS,
    })),
  }
}

/** What processor and graphics took of the stage's power; nothing where the log doesn't say. */
function sharesOf(trace: Trace, load: Load, stage: Stage): { readonly budget?: BudgetShares } {
  const budget = shareBudget(trace, load, stage)
  return budget === undefined ? {} : { budget }
}

function stageFields(stage: Stage): object {
  const { label, shape, startS, endS, startInterval, levelW, decay, cycle, heldBy } = stage
  const swing = cycle === undefined ? {} : { cycle }
  return { label, shape, startS, endS, startInterval, levelW, decay, ...swing, heldBy }
}
