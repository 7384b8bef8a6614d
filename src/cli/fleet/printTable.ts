import type { Style } from '../../show/style.js'
import { wrapText } from '../../show/wrapText.js'
import type { Context } from '../context.js'
import { chooseStyle, type OutputOptions } from '../outputOptions.js'
import { withoutControls } from '../withoutControls.js'
import { fleetAnswers } from './fleetAnswers.js'
import type { FleetRequest } from './fleetRequest.js'
import type { FleetCommand, FleetRows } from './fleetTask.js'
import type { FleetTasks } from './fleetTasks.js'

/** Prints many files as a table of one line each, and how many gave no result. */
export async function printTable<C extends FleetCommand, Row>(
  found: FleetTasks,
  request: FleetRequest<C> & { readonly options: OutputOptions },
  table: {
    /** What is kept of a file: little, as there may be many. */
    readonly keep: (row: FleetRows[C]) => Row
    readonly say: (rows: readonly Row[], style: Style) => string
  },
  context: Context,
): Promise<void> {
  const rows: Row[] = []
  let all = 0
  for await (const answer of fleetAnswers(found, { ...request, wants: 'row' }, context)) {
    all += 1
    if (answer.kind === 'done') rows.push(table.keep(answer.row!))
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
