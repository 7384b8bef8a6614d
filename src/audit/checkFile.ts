import { readLog } from '../files/readLog.js'
import type { LogOptions } from '../log/trace.js'
import { chooseLoads } from '../machine/chooseLoads.js'
import { readTestedMachine, type SharedLogs } from '../machine/readTestedMachine.js'
import { chooseTest } from '../sheet/chooseTest.js'
import { isSheetFile } from '../sheet/isSheetFile.js'
import { readWholeSheet } from '../sheet/readSheet.js'
import { poweredNames, type ReviewSheet } from '../sheet/reviewSheet.js'
import type { TestSheet } from '../sheet/testSheet.js'
import { auditGivenLoads } from './auditGivenLoads.js'
import { auditLog } from './auditLog.js'
import { auditTest } from './auditTest.js'
import { type Finding, findingAbout } from './finding.js'
import { worstFirst } from './worstFirst.js'

/** What the audit found in one file. */
export interface CheckedFile {
  readonly path: string
  readonly findings: readonly Finding[]
}

/** The same with the sheet that the file holds, for holding it against others; null for a log. */
export interface AuditedFile extends CheckedFile {
  readonly sheet: TestSheet | null
}

/**
 * Audits one log or test sheet, told by what it holds.
 *
 * @param options - column choices for a log
 * @param logs - logs of sheets read so far
 * @throws InputError when the file can't be read as what it is
 */
export async function checkFile(
  path: string,
  options: LogOptions = {},
  logs: SharedLogs = new Map(),
): Promise<AuditedFile> {
  if (!(await isSheetFile(path))) {
    const log = await readLog(path, options)
    const { loads } = chooseLoads(log.trace, { load: options.load, loads: options.loads, log: path })
    return {
      path,
      findings: worstFirst([...auditLog(log, loads), ...auditGivenLoads(options.loads)]),
      sheet: null,
    }
  }
  return checkSheet(path, await readWholeSheet(path), logs)
}

/**
 * Audits a test sheet that is read already, with the logs that it names.
 *
 * @param logs - logs read so far; what is read is added, for whoever asks more of the same sheet
 * @throws InputError when a log can't be read
 */
export async function checkSheet(
  path: string,
  sheet: TestSheet | ReviewSheet,
  logs: SharedLogs,
): Promise<AuditedFile> {
  if ('tests' in sheet) return { path, findings: worstFirst(await auditReview(sheet, logs)), sheet: null }
  const test = await readTestedMachine(sheet, logs)
  return { path, findings: worstFirst(auditTest(test)), sheet: test.sheet }
}

/** Audits every workload of a sheet by its first metric, over all of its modes; what is found of a log is told once. */
async function auditReview(sheet: ReviewSheet, logs: SharedLogs): Promise<readonly Finding[]> {
  const found = new Map<string, Finding>()
  const first = { ...sheet, tests: sheet.tests.filter(({ isFirst }) => isFirst) }
  for (const name of poweredNames(first)) {
    const test = await readTestedMachine(chooseTest(sheet, name), logs)
    for (const finding of auditTest(test)) {
      // Such a sheet tells modes apart by itself.
      if (finding.code === 'modes-mixed') continue
      const key = JSON.stringify([finding.code, finding.message, finding.atS])
      if (!found.has(key)) found.set(key, findingAbout(name, finding))
    }
  }
  return [...found.values()]
}
