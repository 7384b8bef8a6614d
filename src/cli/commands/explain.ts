import { Command } from 'commander'
import { InputError } from '../../errors.js'
import { fitMachine } from '../../machine/fitMachine.js'
import type { SharedLogs } from '../../machine/readTestedMachine.js'
import { steadyShares } from '../../machine/steadyShares.js'
import { explainGap } from '../../predict/gap/explainGap.js'
import { gapMachine } from '../../predict/gap/gapMachine.js'
import { readSheet } from '../../sheet/readSheet.js'
import { gapTable } from '../../show/tables/gapTable.js'
import { sayGap } from '../../show/terminal/sayGap.js'
import { sayShares } from '../../show/text/concludeStages.js'
import { sayGapText } from '../../show/text/sayGapText.js'
import type { Context } from '../context.js'
import { about } from '../output/answerDocument.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { spokenCautions } from '../output/spokenCautions.js'

/** `holdwatt explain SHEET_A SHEET_B`: why one machine scores less than another. */
export function explainCommand(context: Context): Command {
  const command = new Command('explain')
    .summary('why one machine scores less than another')
    .description(
      'Splits the gap between the steady scores of two machines into the chip at equal power, the sustained power, burst and recovery, and temperature where it is known. The parts add up exactly (Shapley value).',
    )
    .argument('<sheet_a>', 'test sheet of the machine to explain')
    .argument('<sheet_b>', 'test sheet of the machine it is held against')
    .addHelpText('after', EXAMPLES)
    .action((a: string, b: string, options: OutputOptions) => explain(a, b, options, context))
  return addTableOptions(addOutputOptions(command))
}

async function explain(
  pathA: string,
  pathB: string,
  options: OutputOptions,
  context: Context,
): Promise<void> {
  const [sheetA, sheetB] = await Promise.all([readSheet(pathA), readSheet(pathB)])
  if (sheetA.workload.name !== sheetB.workload.name) {
    const message = `expected two sheets of one workload, got \`${sheetA.workload.name}\` and \`${sheetB.workload.name}\``
    throw new InputError('workloads-differ', message, {
      where: sheetB.workloadAt,
      remedy: 'if it is the same work, write its name the same way in both sheets',
    })
  }
  // One chip in two machines is one curve, told by the runs of both.
  const sameChip = sheetA.chip === sheetB.chip
  const logs: SharedLogs = new Map()
  const [a, b] = await Promise.all([
    fitMachine(sameChip ? [sheetA, sheetB] : sheetA, { logs, criticism: false }),
    fitMachine(sameChip ? [sheetB, sheetA] : sheetB, { logs, criticism: false }),
  ])
  const gap = explainGap({ a: gapMachine(a), b: gapMachine(b) })
  const warnings = [...about(a.machine, a.warnings), ...about(b.machine, b.warnings)]
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: [gapTable(gap)], warnings }, options, context)
  }
  const budgets = { a: steadyShares(a) ?? null, b: steadyShares(b) ?? null }
  const shared = [
    ...(budgets.a === null ? [] : [sayShares(budgets.a, `In ${a.machine}`)]),
    ...(budgets.b === null ? [] : [sayShares(budgets.b, `In ${b.machine}`)]),
  ]
  const view = { ...gap, text: [sayGapText(gap), ...shared].join(' ') }
  const document = () => ({
    ...view,
    ...(shared.length === 0 ? {} : { budgets }),
    cautions: spokenCautions(gap.cautions),
  })
  printAnswer({ command: 'explain', warnings, document, view, say: sayGap }, options, context)
}

const EXAMPLES = `
Examples:
  holdwatt explain heron.yaml bittern.yaml
  holdwatt explain heron.yaml bittern.yaml --json`
