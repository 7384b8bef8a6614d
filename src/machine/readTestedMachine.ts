import { dirname, isAbsolute, join } from 'node:path'
import { InputError } from '../errors.js'
import { readLog } from '../files/readLog.js'
import type { ParsedLog } from '../log/trace.js'
import type { LoggedTrial, TestSheet, Trial } from '../sheet/testSheet.js'
import type { Warning } from '../warnings.js'
import { chooseLoads } from './chooseLoads.js'
import { placeRuns } from './placeRuns.js'
import { runsFromTable } from './runsFromTable.js'
import type { ReadNotedTrial, ReadTest, ReadTrial } from './testedMachine.js'
import { warnOfRepairs } from './warnOfRepairs.js'

/**
 * Reads what a sheet names: every trial's log, its loads, and the scored runs' places in it.
 *
 * @throws InputError when a log can't be read or a run's time lies outside it
 */
export async function readTestedMachine(sheet: TestSheet): Promise<ReadTest> {
  const read = await Promise.all(sheet.trials.map((trial) => readTrial(trial, sheet)))
  return { sheet, trials: read.map(({ trial }) => trial), warnings: read.flatMap(({ warnings }) => warnings) }
}

interface TrialRead {
  readonly trial: ReadTrial | ReadNotedTrial
  readonly warnings: readonly Warning[]
}

async function readTrial(trial: Trial, sheet: TestSheet): Promise<TrialRead> {
  if (trial.kind === 'noted') return { trial: { kind: 'noted', trial }, warnings: [] }
  const path = isAbsolute(trial.log) ? trial.log : join(dirname(sheet.file), trial.log)
  const log = await readTrialLog(path, trial)
  const chosen = chooseLoads(log.trace, { load: trial.load, log: trial.log, where: trial.at })
  const { loads } = chosen
  const { table } = trial
  const listed = table === null ? trial : await runsFromTable({ ...trial, table }, sheet, { log, chosen })
  const { runs, warnings } = placeRuns({ ...trial, runs: listed.runs }, log, loads, sheet.workload)
  const noLoad: readonly Warning[] = loads.length === 0 ? [{ code: 'no-load', file: path }] : []
  const told = [
    ...noLoad,
    ...warnOfRepairs(log, path),
    ...('warnings' in listed ? listed.warnings : []),
    ...warnings,
  ]
  return { trial: { kind: 'logged', trial, path, log, loads, runs }, warnings: told }
}

/** A missing log is the sheet's fault, so it is told with the line of the sheet that names it. */
async function readTrialLog(path: string, trial: LoggedTrial): Promise<ParsedLog> {
  try {
    return await readLog(path, trial.options)
  } catch (error) {
    if (!(error instanceof InputError) || error.code !== 'file-missing') throw error
    throw new InputError('log-missing', `the log \`${trial.log}\` is not there (looked for ${path})`, {
      where: trial.at,
      remedy: 'paths in a sheet are relative to the sheet',
    })
  }
}
