import Papa from 'papaparse'
import type { DataTable } from './dataTable.js'

/**
 * Tables as CSV: a header line each, comma and decimal point; several are set apart by an empty line.
 *
 * A name that a spreadsheet would run as a formula (`=`, `+`, `-`, `@` at its beginning) is written with an apostrophe before it.
 *
 * @source RFC 4180
 */
export function csvTables(tables: readonly DataTable[]): string {
  return tables.map(csvTable).join('\n\n')
}

function csvTable({ headings, rows }: DataTable): string {
  const values = { fields: [...headings], data: rows.map((row) => [...row]) }
  return Papa.unparse(values, { newline: '\n', escapeFormulae: true })
}
