import type { TestSheet } from '../sheet/testSheet.js'
import type { AuditedFile, CheckedFile } from './checkFile.js'
import type { Finding } from './finding.js'
import { worstFirst } from './worstFirst.js'

/** Holds audited sheets against each other. */
export function checkTogether(files: readonly AuditedFile[]): readonly CheckedFile[] {
  const sheets = files.flatMap(({ sheet }) => sheet ?? [])
  return files.map(({ path, findings, sheet }) => {
    const together = sheet === null ? [] : auditWorkloads(sheet, sheets)
    return { path, findings: worstFirst([...findings, ...together]) }
  })
}

/** Whether a sheet may be held against the others it was given with: the same work, scored the same way. */
function auditWorkloads(sheet: TestSheet, together: readonly TestSheet[]): readonly Finding[] {
  const first = together[0]
  if (first === undefined || first === sheet) return []
  const [mine, theirs] = [sheet.workload, first.workload]
  const sameScore = mine.score === theirs.score && mine.better === theirs.better
  if (sameScore && mine.name === theirs.name) return []
  const what = sameScore
    ? `runs \`${mine.name}\`, the first sheet \`${theirs.name}\``
    : `scores in ${mine.score} (${mine.better} is better), the first sheet in ${theirs.score} (${theirs.better} is better)`
  return [
    {
      code: 'workloads-differ',
      severity: 'unsafe',
      message: `This sheet ${what}: scores of different work can’t be compared. If it is the same work, write it the same way in both sheets.`,
      atS: null,
    },
  ]
}
