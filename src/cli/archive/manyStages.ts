import { stagesTable } from '../../show/tables/stagesTable.js'
import { sayStagesTable, stagesRow } from '../../show/terminal/stages/sayStagesTable.js'
import type { Context } from '../context.js'
import { chosenColumns, type LogOptionValues } from '../options/logOptions.js'
import { isTableAlone, type OutputOptions } from '../output/outputOptions.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { archiveTasks, LOG_ENDINGS } from './archiveTasks.js'
import { printFiles } from './printFiles.js'
import { printLines } from './printLines.js'
import { printTable } from './printTable.js'
import type { ArchiveRows } from './workers/archiveTask.js'

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
  if (isTableAlone(options)) {
    const tables = (rows: readonly ArchiveRows['stages'][]) => [stagesTable(rows)]
    return printTable(found, request, { keep: (row) => row, say: () => '', tables }, context)
  }
  return printTable(found, request, { keep: stagesRow, say: sayStagesTable }, context)
}
