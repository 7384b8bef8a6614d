import { Command } from 'commander'
import { checkFiles } from '../../audit/checkFiles.js'
import { isUnsafe } from '../../audit/finding.js'
import { findingsTable } from '../../show/tables/findingsTable.js'
import { sayFindings } from '../../show/terminal/sayFindings.js'
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

type CheckOptions = ArchiveOptions & LogOptionValues & OutputOptions

/** `holdwatt check FILE…`: is this log or sheet safe to draw conclusions from? */
export function checkCommand(context: Context): Command {
  const command = new Command('check')
    .summary('is this log or sheet safe to draw conclusions from?')
    .description(
      'Checks logs and test sheets before anyone draws conclusions: sampling, sensors, start, settling, runs and scores. Exit status 3 when something makes conclusions unsafe, 2 when a file could not be read.',
    )
    .argument('[file...]', 'logs and YAML test sheets, folders or quoted patterns')
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: CheckOptions) => {
      requireFiles(command, paths, options)
      if (paths.length === 1 && readsNamedFiles(paths, options)) return checkOne(paths[0]!, options, context)
      const { manyChecks } = await import('../archive/manyChecks.js')
      await manyChecks(paths, options, context)
    })
  return addTableOptions(addOutputOptions(addArchiveOptions(addLoadOption(addLogOptions(command)))))
}

async function checkOne(path: string, options: CheckOptions, context: Context): Promise<void> {
  const files = await checkFiles([path], chosenColumns(options))
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    printTables({ tables: [findingsTable(files)], warnings: [] }, options, context)
  } else {
    const document = () => ({ files })
    printAnswer({ command: 'check', warnings: [], document, view: files, say: sayFindings }, options, context)
  }
  if (files.some((file) => file.findings.some(isUnsafe))) context.setExit(3)
}

const EXAMPLES = `
Examples:
  holdwatt check loop.csv
  holdwatt check heron.yaml bittern.yaml     also whether the two can be compared
  holdwatt check archive/                    one line a file
  holdwatt check heron.yaml && holdwatt project heron.yaml --sustained 71W`
