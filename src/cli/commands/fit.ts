import { Command } from 'commander'
import { readInTurn } from '../../files/readInTurn.js'
import { fitMachine } from '../../machine/fitMachine.js'
import { tabulateCurve } from '../../model/tabulateCurve.js'
import { runsOnCurve } from '../../predict/overview/runsOnCurve.js'
import { readSheet } from '../../sheet/readSheet.js'
import { fitTables } from '../../show/tables/fitTables.js'
import { sayFit } from '../../show/terminal/sayFit.js'
import { type ArchiveOptions, addArchiveOptions, requireFiles } from '../archive/archiveOptions.js'
import { readsNamedFiles } from '../archive/readsNamedFiles.js'
import type { Context } from '../context.js'
import { fitDocument } from '../output/fitDocument.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'

interface FitOptions extends ArchiveOptions, OutputOptions {
  readonly chip?: string
  readonly chassis?: string
  readonly force?: boolean
}

/** `holdwatt fit SHEET…`: what the chip makes of a watt, and which watts the chassis allows. */
export function fitCommand(context: Context): Command {
  const command = new Command('fit')
    .summary('what the chip makes of a watt, and which watts the chassis allows')
    .description(
      'Fits the score curve of the chip and the limits of the chassis from test sheets. Sheets of the same chip and workload are fitted together; the chassis is that of the first.',
    )
    .argument('[sheet...]', 'YAML test sheets, folders or quoted patterns')
    .option('--chip <file>', 'write the chip model as JSON, for `project` and `compare`')
    .option('--chassis <file>', 'write the chassis model as JSON, for `project --chassis`')
    .option('--force', 'replace a file that is no model of holdwatt')
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: FitOptions) => {
      requireFiles(command, paths, options)
      if (readsNamedFiles(paths, options)) return fitOne(paths, options, context)
      const { manyFits } = await import('../archive/manyFits.js')
      await manyFits(paths, options, context)
    })
  return addTableOptions(addOutputOptions(addArchiveOptions(command)))
}

async function fitOne(paths: readonly string[], options: FitOptions, context: Context): Promise<void> {
  const machine = await fitMachine(await readInTurn(paths, readSheet))
  const curve = tabulateCurve(machine.chip)
  const force = options.force === true
  // What writes safely takes 6 ms to load, and most only look.
  if (options.chip !== undefined) {
    const { writeChip } = await import('../../model/writeChip.js')
    await writeChip(options.chip, machine.chip, { force })
  }
  if (options.chassis !== undefined) {
    const { writeChassis } = await import('../../model/writeChassis.js')
    await writeChassis(options.chassis, machine.chassis, { force })
  }
  const { chip, chassis, runs, criticism, warnings } = machine
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: fitTables(chip, curve, runs), warnings }, options, context)
  }
  const view = { chip: { ...chip, curve }, chassis, runs, dots: runsOnCurve(machine), criticism }
  const document = () => fitDocument(machine, curve)
  printAnswer({ command: 'fit', warnings, document, view, say: sayFit }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt fit heron.yaml
  holdwatt fit heron-quiet.yaml heron-loud.yaml          two power modes of one machine
  holdwatt fit archive/                                  one line a chip and workload
  holdwatt fit heron.yaml --chip kestrel.json --chassis heron.json`
