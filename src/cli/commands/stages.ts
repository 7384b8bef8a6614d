import { Command } from 'commander'
import { readStages } from '../../machine/readStages.js'
import { stagesTable } from '../../show/tables/stagesTable.js'
import { sayStages } from '../../show/terminal/stages/sayStages.js'
import { type ArchiveOptions, addArchiveOptions, requireFiles } from '../archive/archiveOptions.js'
import { readsNamedFiles } from '../archive/readsNamedFiles.js'
import type { Context } from '../context.js'
import { addLoadOption, addLogOptions, chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { stagesDocument } from '../output/stagesDocument.js'
import { tellMeanwhile } from '../output/tellMeanwhile.js'
import { withoutControls } from '../output/withoutControls.js'

type StagesOptions = ArchiveOptions & LogOptionValues & OutputOptions

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
      const { manyStages } = await import('../archive/manyStages.js')
      await manyStages(paths, options, context)
    })
  return addTableOptions(addOutputOptions(addArchiveOptions(addLoadOption(addLogOptions(command)))))
}

async function stagesOfOne(path: string, options: StagesOptions, context: Context): Promise<void> {
  // `-` is what is piped in, as everywhere.
  const source = path === '-' ? '/dev/stdin' : path
  const reading = tellReading(context, withoutControls(path))
  const { log, loads, numbers, found, warnings } = await readStages(source, {
    ...chosenColumns(options),
    onBytes: reading.onBytes,
  }).finally(reading.stop)
  const view = { path, trace: log.trace, columns: log.columns, skipped: log.skipped, loads, numbers, found }
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables(
      { tables: [stagesTable([{ path, loads, trace: log.trace }])], warnings },
      options,
      context,
    )
  }
  const document = () => stagesDocument({ path, log, loads, numbers })
  printAnswer({ command: 'stages', warnings, document, view, say: sayStages }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt stages loop.csv
  holdwatt stages loop.csv --power "Package power [W]" --json
  holdwatt stages samples-only.csv --every 500ms
  holdwatt stages archive/ "more/**/*.csv"            one line a log
  find . -name '*.csv' | holdwatt stages --from-list - --json-lines > stages.jsonl`

/** Follows the reading of a log. */
interface ReadingTold {
  readonly onBytes: (bytes: number) => void
  readonly stop: () => void
}

/** Says on stderr that a log is still being read: how many megabytes so far, or that nothing has come yet. */
function tellReading(context: Pick<Context, 'stderrIsTerminal' | 'writeErr'>, path: string): ReadingTold {
  let bytes = 0
  const stop = tellMeanwhile(context, () => {
    const so = bytes === 0 ? 'waiting for its first line' : `${(bytes / 1e6).toFixed(0)} MB so far`
    return `reading ${path}: ${so}`
  })
  return {
    onBytes: (soFar) => {
      bytes = soFar
    },
    stop,
  }
}
