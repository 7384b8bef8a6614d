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
  const sheet = await readWholeSheet(path)
  if ('tests' in sheet) return { path, findings: worstFirst(await auditReview(sheet)), sheet: null }
  const test = await readTestedMachine(sheet)
  return { path, findings: worstFirst(auditTest(test)), sheet: test.sheet }
}

/** Audits every workload of a sheet by its first metric, over all of its modes; what is found of a log is told once. */
async function auditReview(sheet: ReviewSheet): Promise<readonly Finding[]> {
  const shared: SharedLogs = new Map()
  const found = new Map<string, Finding>()
  const first = { ...sheet, tests: sheet.tests.filter(({ isFirst }) => isFirst) }
  for (const name of poweredNames(first)) {
    const test = await readTestedMachine(chooseTest(sheet, name), shared)
    for (const finding of auditTest(test)) {
      // Such a sheet tells modes apart by itself.
      if (finding.code === 'modes-mixed') continue
      const key = JSON.stringify([finding.code, finding.message, finding.atS])
      if (!found.has(key)) found.set(key, { ...finding, message: `${name}: ${finding.message}` })
    }
  }
  return [...found.values()]
}
