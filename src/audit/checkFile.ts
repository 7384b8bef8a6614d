import { readLog } from '../files/readLog.js'
import type { LogOptions } from '../log/trace.js'
import { chooseLoads } from '../machine/chooseLoads.js'
import { readTestedMachine } from '../machine/readTestedMachine.js'
import { isSheetFile } from '../sheet/isSheetFile.js'
import { readSheet } from '../sheet/readSheet.js'
import type { TestSheet } from '../sheet/testSheet.js'
import { auditGivenLoads } from './auditGivenLoads.js'
import { auditLog } from './auditLog.js'
import { auditTest } from './auditTest.js'
import type { Finding } from './finding.js'
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
 * @throws InputError when the file can't be read as what it is
 */
export async function checkFile(path: string, options: LogOptions = {}): Promise<AuditedFile> {
  if (!(await isSheetFile(path))) {
    const log = await readLog(path, options)
    const { loads } = chooseLoads(log.trace, { load: options.load, loads: options.loads, log: path })
    return {
      path,
      findings: worstFirst([...auditLog(log, loads), ...auditGivenLoads(options.loads)]),
      sheet: null,
    }
  }
  const test = await readTestedMachine(await readSheet(path))
  return { path, findings: worstFirst(auditTest(test)), sheet: test.sheet }
}
