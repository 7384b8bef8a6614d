import type { CheckedFile } from '../../audit/checkFile.js'
import { type DataTable, dataTable } from './dataTable.js'

/** What `check` found, a finding a row. */
export function findingsTable(files: readonly CheckedFile[]): DataTable {
  const rows = files.flatMap(({ path, findings }) => findings.map((finding) => ({ path, finding })))
  return dataTable('Findings', rows, [
    { name: 'file', of: ({ path }) => path },
    { name: 'severity', of: ({ finding }) => finding.severity },
    { name: 'code', of: ({ finding }) => finding.code },
    {
      name: 'at',
      unit: 's',
      of: ({ finding: { atS } }) => (atS === null ? null : Math.round(10 * atS) / 10),
    },
    { name: 'finding', of: ({ finding }) => finding.message },
  ])
}
