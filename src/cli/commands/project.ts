import { Command, InvalidArgumentError, Option } from 'commander'
import { projectScore } from '../../predict/projection/projectScore.js'
import { wrapText } from '../../show/figures/wrapText.js'
import { projectionTables } from '../../show/tables/projectionTables.js'
import { sayProjection } from '../../show/terminal/sayProjection.js'
import type { Style } from '../../show/terminal/style.js'
import { sayCautions } from '../../show/text/sayCaution.js'
import type { Context } from '../context.js'
import { parseSweep } from '../options/parseSweep.js'
import { projectionRequest, type TargetOptions } from '../options/projectionRequest.js'
import { quantityOption } from '../options/quantityOption.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { spokenCautions } from '../output/spokenCautions.js'
import { withoutControls } from '../output/withoutControls.js'

/** `holdwatt project SHEET|CHIP.json`: the score of the same chip in another chassis. */
export function projectCommand(context: Context): Command {
  const command = new Command('project')
    .summary('the score of the same chip in another chassis')
    .description(
      'Projects the score of a tested chip into another chassis: a model or sheet of it, or its limits in numbers. First run and steady score (mean of the last three runs of the loop), with durations and energy.',
    )
    .argument('<chip...>', 'test sheets of one chip, or one chip model (JSON)')
    .option('--chassis <file>', 'the target: a chassis model (JSON) or a test sheet')
    .addOption(
      new Option('--sustained <power>', 'the target holds this; or a sweep, 40W:100W:5W').argParser(
        parseSweep,
      ),
    )
    .addOption(quantityOption('--burst <power>', 'the target bursts to this', 'power'))
    .addOption(quantityOption('--burst-for <time>', 'for so long, from idle', 'time'))
    .addOption(quantityOption('--short-term <power>', 'the target then holds this', 'power'))
    .addOption(quantityOption('--short-term-for <time>', 'for so long', 'time'))
    .addOption(new Option('--runs <count>', 'runs of the loop (default: as tested)').argParser(parseRuns))
    .addOption(
      quantityOption('--gap <time>', 'pause between runs (default: as tested)', 'time', { zero: true }),
    )
    .addOption(
      quantityOption('--ambient <temperature>', 'room temperature, where heat decides', 'temperature'),
    )
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: TargetOptions & OutputOptions) => {
      const request = await projectionRequest(paths, options)
      const projection = projectScore(request)
      const warnings = [...request.warnings, ...projection.warnings]
      const { workload } = request.chip
      if (isTableAlone(options)) {
        const { printTables } = await import('../output/printTables.js')
        return printTables({ tables: projectionTables(projection, workload), warnings }, options, context)
      }
      const document = () => {
        const { warnings: _told, ...fields } = projection
        return { ...fields, cautions: spokenCautions(projection.cautions), workload, loop: request.loop }
      }
      const say = (view: typeof projection, style: Style) => {
        const cautions = sayCautions(view.cautions)
        const text = sayProjection(view, withoutControls(workload), style)
        return cautions === '' ? text : `${text}\n\n${wrapText(cautions, style.width, 2)}`
      }
      printAnswer({ command: 'project', warnings, document, view: projection, say }, options, context)
    })
  return addTableOptions(addOutputOptions(command))
}

function parseRuns(text: string): number {
  const runs = Number(text)
  if (!Number.isInteger(runs) || runs < 1 || runs > 1000) {
    throw new InvalidArgumentError('Expected a whole number of runs from 1 to 1000.')
  }
  return runs
}

const EXAMPLES = `
Holds are those of an uninterrupted load from idle.

Examples:
  holdwatt project heron.yaml --sustained 71W
  holdwatt project heron.yaml --sustained 71W --burst 104W --burst-for 20s --runs 20 --gap 5s
  holdwatt project heron.yaml --chassis bittern.yaml
  holdwatt project kestrel.json --sustained 40W:100W:5W`
