import { Command } from 'commander'
import { readStages } from '../machine/readStages.js'
import { sayStages } from '../show/sayStages.js'
import type { Context } from './context.js'
import { addFleetOptions, type FleetOptions, requireFiles } from './fleet/fleetOptions.js'
import { readsNamedFiles } from './fleet/readsNamedFiles.js'
import { addLogOptions, chosenColumns, type LogOptionValues } from './logOptions.js'
import { addOutputOptions, type OutputOptions } from './outputOptions.js'
import { printAnswer } from './printAnswer.js'
import { stagesDocument } from './stagesDocument.js'
import { tellReading } from './tellReading.js'
import { withoutControls } from './withoutControls.js'

type StagesOptions = FleetOptions & LogOptionValues & OutputOptions

/** `holdwatt stages LOG`: which power was held, for how long, and by what. */
export function stagesCommand(context: Context): Command {
  const command = new Command('stages')
    .summary('which power was held, for how long, and by what')
    .description(
      'Finds the loads in a power log and the stages of each: burst, short-term, sustained; when each began, where the power settles, and what held it there.',
    )
    .argument('[log...]', 'a text table that a logger wrote; several, folders or quoted patterns')
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: StagesOptions) => {
      requireFiles(command, paths, options)
      if (paths.length === 1 && readsNamedFiles(paths, options))
        return stagesOfOne(paths[0]!, options, context)
      const { manyStages } = await import('./fleet/manyStages.js')
      await manyStages(paths, options, context)
    })
  return addOutputOptions(addFleetOptions(addLogOptions(command)))
}

async function stagesOfOne(path: string, options: StagesOptions, context: Context): Promise<void> {
  // `-` is what is piped in, as everywhere.
  const source = path === '-' ? '/dev/stdin' : path
  const reading = tellReading(context, withoutControls(path))
  const { log, loads, warnings } = await readStages(source, {
    ...chosenColumns(options),
    onBytes: reading.onBytes,
  }).finally(reading.stop)
  const view = { path, trace: log.trace, columns: log.columns, skipped: log.skipped, loads }
  const document = () => stagesDocument({ path, log, loads })
  printAnswer({ command: 'stages', warnings, document, view, say: sayStages }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt stages loop.csv
  holdwatt stages loop.csv --power "Package power [W]" --json
  holdwatt stages samples-only.csv --every 500ms
  holdwatt stages archive/ "more/**/*.csv"            one line a log
  find . -name '*.csv' | holdwatt stages --from-list - --json-lines > stages.jsonl`
