import type { TestSheet } from '../testSheet.js'
import type { Finding } from './finding.js'

/** Whether a sheet may be held against the others it was given with: the same work, scored the same way. */
export function auditWorkloads(sheet: TestSheet, together: readonly TestSheet[]): readonly Finding[] {
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
