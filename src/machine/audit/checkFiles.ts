import type { LogOptions } from '../../log/trace.js'
import { auditWorkloads } from './auditWorkloads.js'
import { type AuditedFile, type CheckedFile, checkFile } from './checkFile.js'
import { worstFirst } from './worstFirst.js'

/**
 * Audits logs and test sheets, each told by what it holds; sheets given together are also held against each other.
 *
 * @param paths - logs and YAML test sheets
 * @param options - column choices for the logs among them
 * @returns findings of each file, worst first
 * @throws InputError when a file can't be read as what it is
 */
export async function checkFiles(
  paths: readonly string[],
  options: LogOptions = {},
): Promise<readonly CheckedFile[]> {
  return checkTogether(await Promise.all(paths.map((path) => checkFile(path, options))))
}

/** Holds audited sheets against each other. */
export function checkTogether(files: readonly AuditedFile[]): readonly CheckedFile[] {
  const sheets = files.flatMap(({ sheet }) => sheet ?? [])
  return files.map(({ path, findings, sheet }) => {
    const together = sheet === null ? [] : auditWorkloads(sheet, sheets)
    return { path, findings: worstFirst([...findings, ...together]) }
  })
}
