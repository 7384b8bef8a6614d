import { Command, Option } from 'commander'
import { compareChips } from '../project/compareChips.js'
import { sayComparison } from '../show/sayComparison.js'
import { comparedMachines } from './comparedMachines.js'
import type { Context } from './context.js'
import { addOutputOptions, type OutputOptions } from './outputOptions.js'
import { parsePowers } from './parseSweep.js'
import { printAnswer } from './printAnswer.js'

interface CompareOptions extends OutputOptions {
  readonly at?: readonly number[]
}

/** `holdwatt compare SHEET|CHIP.json …`: chips at equal power. */
export function compareCommand(context: Context): Command {
  const command = new Command('compare')
    .summary('chips at equal power')
    .description(
      'Compares chips at the same watts: score, score per watt, how probably the first is ahead, and the power at which two chips cross. Sheets of the same chip and workload are fitted together.',
    )
    .argument('<chip...>', 'test sheets or chip models (JSON), two or more chips')
    .addOption(
      new Option('--at <powers>', 'powers such as 40W,55W,70W (default: across the shared range)').argParser(
        parsePowers,
      ),
    )
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: CompareOptions) => {
      const { machines, warnings } = await comparedMachines(paths)
      const comparison = compareChips({ machines, ...(options.at === undefined ? {} : { atW: options.at }) })
      const { warnings: told, ...fields } = comparison
      const { workload } = machines[0]!.chip
      const view = { ...fields, workload }
      const document = () => view
      printAnswer(
        { command: 'compare', warnings: [...warnings, ...told], document, view, say: sayComparison },
        options,
        context,
      )
    })
  return addOutputOptions(command)
}

const EXAMPLES = `
Examples:
  holdwatt compare heron.yaml bittern.yaml
  holdwatt compare heron.yaml bittern.yaml --at 40W,55W,70W --json
  holdwatt compare kestrel.json merlin.json plover.yaml`
