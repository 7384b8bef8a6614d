import { wrapText } from '../../show/figures/wrapText.js'
import type { DataTable } from '../../show/tables/dataTable.js'
import type { Style } from '../../show/terminal/style.js'
import type { Context } from '../context.js'
import { chooseStyle, isTableAlone, type OutputOptions } from '../output/outputOptions.js'
import { withoutControls } from '../output/withoutControls.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveRequest } from './archiveRequest.js'
import type { ArchiveTasks } from './archiveTasks.js'
import type { ArchiveCommand, ArchiveRows } from './workers/archiveTask.js'

/** Prints many files as a table of one line each, and how many gave no result. */
export async function printTable<C extends ArchiveCommand, Row>(
  found: ArchiveTasks,
  request: ArchiveRequest<C> & { readonly options: OutputOptions },
  table: {
    /** What is kept of a file: little, as there may be many. */
    readonly keep: (row: ArchiveRows[C]) => Row
    readonly say: (rows: readonly Row[], style: Style) => string
    /** The same as tables alone, for `--csv`, `--markdown` and `--html`. */
    readonly tables?: (rows: readonly Row[]) => readonly DataTable[]
  },
  context: Context,
): Promise<void> {
  const rows: Row[] = []
  let all = 0
  for await (const answer of archiveAnswers(found, { ...request, wants: 'row' }, context)) {
    all += 1
    if (answer.kind === 'done') rows.push(table.keep(answer.row!))
  }
  if (isTableAlone(request.options) && table.tables !== undefined) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: table.tables(rows), warnings: [] }, request.options, context)
  }
  const style = chooseStyle(request.options, context)
  const parts = rows.length === 0 ? [] : [table.say(withoutControls(rows), style)]
  if (rows.length < all) parts.push(wrapText(sayMissing(all - rows.length, all), style.width, 2))
  context.writeOut(plainText(parts))
}

function sayMissing(missing: number, all: number): string {
  return `${missing} of ${all} gave no result; what was wrong is told among the errors.`
}

/** Parts as text: plain spaces, none at the end of a line. */
function plainText(parts: readonly string[]): string {
  const text = parts.join('\n\n').replaceAll('\u00a0', ' ')
  return `${text.replace(/[ \t]+$/gm, '')}\n`
}
