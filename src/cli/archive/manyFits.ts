import { InputError } from '../../errors.js'
import { fitsTable } from '../../show/tables/fitsTable.js'
import { fitRow, sayFitTable } from '../../show/terminal/sayFitTable.js'
import type { Context } from '../context.js'
import { isTableAlone, type OutputOptions } from '../output/outputOptions.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { archiveTasks, SHEET_ENDINGS } from './archiveTasks.js'
import { groupSheets } from './groupSheets.js'
import { printFiles } from './printFiles.js'
import { printLines } from './printLines.js'
import { printTable } from './printTable.js'
import type { ArchiveRows } from './workers/archiveTask.js'

interface ManyFitsOptions extends ArchiveOptions, OutputOptions {
  readonly chip?: string
  readonly chassis?: string
}

/**
 * `holdwatt fit` of the sheets of many chips: those of one chip and workload together, as always. A line of a list is
 * one fit; several sheets on it, set apart by tabs, are fitted together.
 *
 * @throws InputError `models-many` when one model file was asked for
 */
export async function manyFits(
  words: readonly string[],
  options: ManyFitsOptions,
  context: Context,
): Promise<void> {
  if (options.chip !== undefined || options.chassis !== undefined) {
    throw new InputError(
      'models-many',
      'expected one sheet for --chip and --chassis, which write one model each, got many',
      {
        remedy: 'name the sheets of one chip one by one, without --json-lines',
      },
    )
  }
  const command = 'fit'
  const source = { command, words, options, endings: SHEET_ENDINGS, split: sheetsOf, group: pathsTogether }
  const found = await archiveTasks(source, context)
  const request = { command, logOptions: {}, options } as const
  if (options.jsonLines === true) return printLines(found, request, context)
  if (options.json === true) return printFiles(found, request, context)
  if (isTableAlone(options)) {
    const tables = (rows: readonly ArchiveRows['fit'][]) => [fitsTable(rows)]
    return printTable(found, request, { keep: (row) => row, say: () => '', tables }, context)
  }
  return printTable(found, request, { keep: fitRow, say: sayFitTable }, context)
}

function sheetsOf(line: string): readonly string[] {
  return line.split('\t').filter((path) => path !== '')
}

async function pathsTogether(paths: readonly string[]): Promise<readonly (readonly string[])[]> {
  return (await groupSheets(paths)).map((group) => group.paths)
}
