import { Command } from 'commander'
import { planNextTest } from '../../predict/plan/planNextTest.js'
import { planTable } from '../../show/tables/planTable.js'
import { sayPlan } from '../../show/terminal/sayPlan.js'
import type { Style } from '../../show/terminal/style.js'
import { sayPlanReason } from '../../show/text/sayPlanReason.js'
import type { Context } from '../context.js'
import { addLoadOption, addLogOptions, chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import { planRequest } from '../options/planRequest.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'

/** `holdwatt plan SHEET|LOG`: how long to test next time. */
export function planCommand(context: Context): Command {
  const command = new Command('plan')
    .summary('how long to test next time')
    .description(
      'Says how long and how many runs the next test of a machine needs until it has settled, how long to rest before it, how often to sample, and which further power mode would add the most.',
    )
    .argument('<file>', 'a YAML test sheet, or a log alone')
    .addHelpText('after', EXAMPLES)
    .action(async (path: string, options: LogOptionValues & OutputOptions) => {
      const { request, title, warnings } = await planRequest(path, chosenColumns(options))
      const plan = planNextTest(request)
      if (isTableAlone(options)) {
        const { printTables } = await import('../output/printTables.js')
        return printTables({ tables: [planTable(title, plan)], warnings }, options, context)
      }
      const fields = { ...plan, reasons: plan.reasons.map(sayPlanReason) }
      const view = { ...fields, title }
      const say = (shown: typeof view, style: Style) => sayPlan(shown, shown.title, style)
      printAnswer({ command: 'plan', warnings, document: () => fields, view, say }, options, context)
    })
  return addTableOptions(addOutputOptions(addLoadOption(addLogOptions(command))))
}

const EXAMPLES = `
Examples:
  holdwatt plan heron.yaml
  holdwatt plan loop.csv --every 500ms`
