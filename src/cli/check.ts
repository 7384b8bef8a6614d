import { Command } from 'commander'
import { checkFiles } from '../machine/audit/checkFiles.js'
import { sayFindings } from '../show/sayFindings.js'
import type { Context } from './context.js'
import { addLogOptions, chosenColumns, type LogOptionValues } from './logOptions.js'
import { addOutputOptions, type OutputOptions } from './outputOptions.js'
import { printAnswer } from './printAnswer.js'

/** `holdwatt check FILE…`: is this log or sheet fit to conclude from? */
export function checkCommand(context: Context): Command {
  const command = new Command('check')
    .summary('is this log or sheet fit to conclude from?')
    .description(
      'Audits logs and test sheets before anyone concludes from them: sampling, sensors, start, settling, runs and scores. Exit status 3 when something makes conclusions unsafe.',
    )
    .argument('<file...>', 'logs and YAML test sheets')
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: LogOptionValues & OutputOptions) => {
      const files = await checkFiles(paths, chosenColumns(options))
      const document = () => ({ files })
      printAnswer(
        { command: 'check', warnings: [], document, view: files, say: sayFindings },
        options,
        context,
      )
      if (files.some((file) => file.findings.some((finding) => finding.severity === 'unsafe')))
        context.setExit(3)
    })
  return addOutputOptions(addLogOptions(command))
}

const EXAMPLES = `
Examples:
  holdwatt check loop.csv
  holdwatt check heron.yaml bittern.yaml     also whether the two can be compared
  holdwatt check heron.yaml && holdwatt project heron.yaml --sustained 71W`
