import { Command } from 'commander'
import { readInTurn } from '../../files/readInTurn.js'
import { fitReview } from '../../machine/review/fitReview.js'
import { readReview } from '../../machine/review/readReview.js'
import { reviewWarnings } from '../../machine/review/reviewWarnings.js'
import { reviewMachines } from '../../predict/review/reviewMachines.js'
import { reviewTables } from '../../show/tables/reviewTables.js'
import { sayReview } from '../../show/terminal/sayReview.js'
import { sayReviewText } from '../../show/text/sayReviewText.js'
import { readSheetPaths } from '../archive/readSheetPaths.js'
import type { Context } from '../context.js'
import { quantityOption } from '../options/quantityOption.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'

interface ReviewOptions extends OutputOptions {
  readonly at?: number
}

/** `holdwatt review SHEET…`: machines with many workloads and modes, side by side. */
export function reviewCommand(context: Context): Command {
  const command = new Command('review')
    .summary('machines side by side in every workload and mode')
    .description(
      'Sets machines side by side in every workload, power mode and metric of their sheets: as tested, at equal power, how much of the difference is chip, power and temperature, and the geometric mean over workloads. Sheets of the same chip share one score curve in each workload.',
    )
    .argument('<sheet...>', 'one test sheet a machine, of many workloads or one; or folders of them')
    .addOption(
      quantityOption(
        '--at <power>',
        'power of the comparison at equal power (default: halfway between what the machines held)',
        'power',
      ),
    )
    .addHelpText('after', EXAMPLES)
    .action((words: string[], options: ReviewOptions) => printReview(words, options, context))
  return addTableOptions(addOutputOptions(command))
}

async function printReview(
  words: readonly string[],
  options: ReviewOptions,
  context: Context,
): Promise<void> {
  const machines = fitReview(await readInTurn(await readSheetPaths(words), readReview))
  const review = reviewMachines(machines, options.at === undefined ? {} : { atW: options.at })
  const warnings = reviewWarnings(machines)
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: reviewTables(review), warnings }, options, context)
  }
  const document = () => ({ ...review, text: sayReviewText(review) })
  printAnswer({ command: 'review', warnings, document, view: review, say: sayReview }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt review heron-14.yaml heron-12.yaml ibis-15.yaml
  holdwatt review sheets --at 40W
  holdwatt review heron-14.yaml ibis-15.yaml --markdown > tables.md`
