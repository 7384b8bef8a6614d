import { sayStagesTable, stagesRow } from '../../show/terminal/sayStagesTable.js'
import type { Context } from '../context.js'
import { chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import type { OutputOptions } from '../output/outputOptions.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { archiveTasks, LOG_ENDINGS } from './archiveTasks.js'
import { printFiles } from './printFiles.js'
import { printLines } from './printLines.js'
import { printTable } from './printTable.js'

/** `holdwatt stages` of many logs: a table, one document, or a document a line. */
export async function manyStages(
  words: readonly string[],
  options: ArchiveOptions & LogOptionValues & OutputOptions,
  context: Context,
): Promise<void> {
  const command = 'stages'
  const found = await archiveTasks({ command, words, options, endings: LOG_ENDINGS }, context)
  const request = { command, logOptions: chosenColumns(options), options } as const
  if (options.jsonLines === true) return printLines(found, request, context)
  if (options.json === true) return printFiles(found, request, context)
  return printTable(found, request, { keep: stagesRow, say: sayStagesTable }, context)
}
