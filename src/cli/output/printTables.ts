import { csvTables } from '../../show/tables/csvTable.js'
import type { DataTable } from '../../show/tables/dataTable.js'
import { htmlTables } from '../../show/tables/htmlTable.js'
import { markdownTables } from '../../show/tables/markdownTable.js'
import type { Context } from '../context.js'
import { sayTold, type ToldWarning, withoutRepeats } from './answerDocument.js'
import type { TableFormatOptions } from './outputOptions.js'
import { withoutControls } from './withoutControls.js'

/** Prints the tables of an answer alone on stdout; its warnings go to stderr, a line each. */
export function printTables(
  answer: { readonly tables: readonly DataTable[]; readonly warnings: readonly ToldWarning[] },
  options: TableFormatOptions,
  context: Context,
): void {
  const tables = withoutControls(answer.tables)
  context.writeOut(`${written(tables, options)}\n`)
  for (const warning of withoutRepeats(answer.warnings)) {
    context.writeErr(`${withoutControls(sayTold(warning))}\n`)
  }
}

function written(tables: readonly DataTable[], { csv, markdown }: TableFormatOptions): string {
  if (csv === true) return csvTables(tables)
  return markdown === true ? markdownTables(tables) : htmlTables(tables)
}
