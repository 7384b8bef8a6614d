import { Command, Option } from 'commander'
import { readInTurn } from '../../files/readInTurn.js'
import { readSubject } from '../../machine/readSubject.js'
import { compareChips } from '../../predict/comparison/compareChips.js'
import { comparisonTables } from '../../show/tables/comparisonTables.js'
import { sayComparison } from '../../show/terminal/sayComparison.js'
import { type ArchiveOptions, addArchiveOptions, requireFiles } from '../archive/archiveOptions.js'
import { readsNamedFiles } from '../archive/readsNamedFiles.js'
import type { Context } from '../context.js'
import { type ComparedMachines, comparedMachines } from '../options/comparedMachines.js'
import { parsePowers } from '../options/parseSweep.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'

interface CompareOptions extends ArchiveOptions, OutputOptions {
  readonly at?: readonly number[]
}

/** `holdwatt compare SHEET|CHIP.json …`: chips at equal power. */
export function compareCommand(context: Context): Command {
  const command = new Command('compare')
    .summary('chips at equal power')
    .description(
      'Compares chips at equal power: score, score per watt, how probably the first is ahead, and the power at which two chips cross. Sheets of the same chip and workload are fitted together.',
    )
    .argument(
      '[chip...]',
      'test sheets or chip models (JSON) of two or more chips, folders or quoted patterns',
    )
    .addOption(
      new Option('--at <powers>', 'powers such as 40W,55W,70W (default: across the shared range)').argParser(
        parsePowers,
      ),
    )
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: CompareOptions) => {
      requireFiles(command, paths, options)
      // Starting threads costs as much as a fit or two.
      if (paths.length < 3 && readsNamedFiles(paths, { ...options, jsonLines: false })) {
        const subjects = await readInTurn(paths, readSubject)
        return printComparison(await comparedMachines(subjects), options, context)
      }
      const { manyCompared } = await import('../archive/manyCompared.js')
      await printComparison(await manyCompared(paths, options, context), options, context)
    })
  return addTableOptions(addOutputOptions(addArchiveOptions(command, { resumes: false })))
}

async function printComparison(
  compared: ComparedMachines & { readonly failed?: readonly object[] },
  options: CompareOptions,
  context: Context,
): Promise<void> {
  const { machines, tested, failed } = compared
  const comparison = compareChips({
    machines,
    tested,
    ...(options.at === undefined ? {} : { atW: options.at }),
  })
  const { warnings: told, ...fields } = comparison
  const { workload } = machines[0]!.chip
  const view = { ...fields, workload }
  const warnings = [...compared.warnings, ...told]
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: comparisonTables(fields, workload), warnings }, options, context)
  }
  const document = () => (failed === undefined ? view : { ...view, failed })
  printAnswer({ command: 'compare', warnings, document, view, say: sayComparison }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt compare heron.yaml bittern.yaml
  holdwatt compare heron.yaml bittern.yaml --at 40W,55W,70W --json
  holdwatt compare archive/render/                  every chip of a folder
  holdwatt compare kestrel.json merlin.json plover.yaml`
