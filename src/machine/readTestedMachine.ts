import { dirname, isAbsolute, join } from 'node:path'
import { InputError } from '../errors.js'
import { readLog } from '../files/readLog.js'
import { readTextFile } from '../files/readTextFile.js'
import { readFormula } from '../log/formula/withFormulas.js'
import type { ParsedLog } from '../log/trace.js'
import type { LoggedTrial, TestSheet } from '../sheet/testSheet.js'
import type { TabledTrial } from './runs/runsFromTable.js'
import type { ReadTest } from './testedMachine.js'
import { testFromLogs } from './testFromLogs.js'

/** Logs that several tests name, or the same test for several questions, so that each is read once; by path and how it is read. */
export type SharedLogs = Map<string, ReturnType<typeof readTrialLog>>

/**
 * Reads what a sheet names: every trial's log, its loads, and the scored runs' places in it.
 *
 * @param shared - logs read so far, of whoever reads several tests, or one again; what it reads is added
 * @throws InputError when a log can't be read or a run's time lies outside it; `scores-missing` when a table isn't there
 */
export async function readTestedMachine(sheet: TestSheet, shared: SharedLogs = new Map()): Promise<ReadTest> {
  return testFromLogs(sheet, {
    log: (trial) => {
      const key = JSON.stringify([besideSheet(sheet, trial.log), trial.options])
      const log = shared.get(key) ?? readTrialLog(sheet, trial)
      shared.set(key, log)
      return log
    },
    table: async (trial) => {
      const file = besideSheet(sheet, trial.table.file)
      const formula = await readFormula(trial.table.score)
      return { file, text: await readTable(file, trial), formula }
    },
  })
}

/** Where a file lies that a sheet names: beside the sheet. */
export function besideSheet(sheet: Pick<TestSheet, 'file'>, path: string): string {
  return isAbsolute(path) ? path : join(dirname(sheet.file), path)
}

/** Reads the log of a trial. A missing one is the sheet's fault, so it is told with the line of the sheet that names it. */
export async function readTrialLog(
  sheet: TestSheet,
  trial: LoggedTrial,
): Promise<{ readonly path: string; readonly log: ParsedLog }> {
  const path = besideSheet(sheet, trial.log)
  try {
    return { path, log: await readLog(path, { ...trial.options, namedInFile: true }) }
  } catch (error) {
    if (!(error instanceof InputError) || error.code !== 'file-missing') throw error
    throw new InputError('log-missing', `the log \`${trial.log}\` is not there (looked for ${path})`, {
      where: trial.at,
      remedy: 'paths in a sheet are relative to the sheet',
    })
  }
}

async function readTable(file: string, trial: TabledTrial): Promise<string> {
  try {
    return await readTextFile(file, { namedInFile: true })
  } catch (error) {
    if (!(error instanceof InputError) || error.code !== 'file-missing') throw error
    throw new InputError(
      'scores-missing',
      `the table \`${trial.table.file}\` is not there (looked for ${file})`,
      {
        where: trial.at,
        remedy: 'paths in a sheet are relative to the sheet',
      },
    )
  }
}
