import { readInTurn } from '../files/readInTurn.js'
import type { ParsedLog } from '../log/trace.js'
import { requirePlausible } from '../segment/requirePlausible.js'
import { warnOfGivenLoads } from '../segment/resolveLoads.js'
import type { LoggedTrial, TestSheet, Trial } from '../sheet/testSheet.js'
import type { Warning } from '../warnings.js'
import { chooseLoads } from './chooseLoads.js'
import { placeRuns } from './runs/placeRuns.js'
import { runsFromRate } from './runs/runsFromRate.js'
import { runsFromTable, type ScoreTableText, type TabledTrial } from './runs/runsFromTable.js'
import type { ReadNotedTrial, ReadTest, ReadTrial } from './testedMachine.js'
import { warnOfRepairs } from './warnOfRepairs.js'

/** Opens what a sheet names: from disk, or from wherever else files are kept. */
export interface SheetFiles {
  readonly log: (
    trial: LoggedTrial,
    sheet: TestSheet,
  ) => Promise<{ readonly path: string; readonly log: ParsedLog }>
  /** A table of scores. */
  readonly table: (trial: TabledTrial, sheet: TestSheet) => Promise<ScoreTableText>
}

/**
 * A sheet with everything that it names: every trial's log, its loads, and the scored runs' places in it.
 *
 * @throws InputError what opening throws; when a load is missing, or a run's time lies outside the log
 */
export async function testFromLogs(sheet: TestSheet, files: SheetFiles): Promise<ReadTest> {
  const read = await readInTurn(sheet.trials, (trial) => readTrial(trial, sheet, files))
  return { sheet, trials: read.map(({ trial }) => trial), warnings: read.flatMap(({ warnings }) => warnings) }
}

interface TrialRead {
  readonly trial: ReadTrial | ReadNotedTrial
  readonly warnings: readonly Warning[]
}

async function readTrial(trial: Trial, sheet: TestSheet, files: SheetFiles): Promise<TrialRead> {
  if (trial.kind === 'noted') return { trial: { kind: 'noted', trial }, warnings: [] }
  const { path, log } = await files.log(trial, sheet)
  const chosen = chooseLoads(log.trace, {
    load: trial.load,
    loads: trial.options.loads,
    log: trial.log,
    where: trial.at,
  })
  const { loads } = chosen
  requirePlausible(log, loads, path, trial.at)
  const { table } = trial
  const listed =
    table === null
      ? trial
      : runsFromTable({ ...trial, table }, sheet, {
          log,
          chosen,
          ...(await files.table({ ...trial, table }, sheet)),
        })
  const { runs, warnings } =
    trial.options.rate === undefined
      ? placeRuns({ ...trial, runs: listed.runs }, log, loads, sheet)
      : runsFromRate(trial, sheet.workload, { log, loads })
  const noLoad: readonly Warning[] = loads.length === 0 ? [{ code: 'no-load', file: path }] : []
  const told = [
    ...noLoad,
    ...warnOfGivenLoads(trial.options.loads, path),
    ...warnOfRepairs(log, path),
    ...('warnings' in listed ? listed.warnings : []),
    ...warnings,
  ]
  return { trial: { kind: 'logged', trial, path, log, loads, runs }, warnings: told }
}
