import { Command } from 'commander'
import { readStages } from '../machine/readStages.js'
import { sayStages } from '../show/sayStages.js'
import type { Context } from './context.js'
import { addLogOptions, chosenColumns, type LogOptionValues } from './logOptions.js'
import { addOutputOptions, type OutputOptions } from './outputOptions.js'
import { printAnswer } from './printAnswer.js'
import { stagesDocument } from './stagesDocument.js'

/** `holdwatt stages LOG`: which power was held, for how long, and by what. */
export function stagesCommand(context: Context): Command {
  const command = new Command('stages')
    .summary('which power was held, for how long, and by what')
    .description(
      'Finds the loads in a power log and the stages of each: burst, short-term, sustained; when each began, where the power settles, and what held it there.',
    )
    .argument('<log>', 'a text table that a logger wrote')
    .addHelpText('after', EXAMPLES)
    .action(async (path: string, options: LogOptionValues & OutputOptions) => {
      const { log, loads, warnings } = await readStages(path, chosenColumns(options))
      const view = { path, trace: log.trace, columns: log.columns, skipped: log.skipped, loads }
      const document = () => stagesDocument({ path, log, loads })
      printAnswer({ command: 'stages', warnings, document, view, say: sayStages }, options, context)
    })
  return addOutputOptions(addLogOptions(command))
}

const EXAMPLES = `
Examples:
  holdwatt stages loop.csv
  holdwatt stages loop.csv --power "Package power [W]" --json
  holdwatt stages samples-only.csv --every 500ms`
