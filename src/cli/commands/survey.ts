import { Command } from 'commander'
import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { surveyTables } from '../../show/tables/surveyTables.js'
import { saySurvey } from '../../show/terminal/saySurvey.js'
import { sayWarning } from '../../show/text/sayWarning.js'
import { type ArchiveOptions, addArchiveOptions, requireFiles } from '../archive/archiveOptions.js'
import { readSurvey } from '../archive/readSurvey.js'
import type { Context } from '../context.js'
import { quantityOption } from '../options/quantityOption.js'
import {
  addOutputOptions,
  addTableOptions,
  isTableAlone,
  type OutputOptions,
} from '../output/outputOptions.js'
import { printAnswer } from '../output/printAnswer.js'
import { showProgress } from '../output/showProgress.js'

interface SurveyOptions extends ArchiveOptions, OutputOptions {
  readonly at?: number
  readonly charts?: string
  readonly dark?: boolean
  readonly force?: boolean
}

/** `holdwatt survey FOLDER…`: an archive of machines in the two figures that make a score. */
export function surveyCommand(context: Context): Command {
  const command = new Command('survey')
    .summary('an archive of machines: score at equal power, and power held')
    .description(
      'Sets the machines of many test sheets side by side, by workload: the score of each chip at equal power, and the power each chassis sustains. Sheets of the same chip and workload share one score curve.',
    )
    .argument('[folder...]', 'folders of test sheets, sheets, or quoted patterns')
    .addOption(
      quantityOption(
        '--at <power>',
        'power to tell scores at (default: one that most chips were measured at)',
        'power',
      ),
    )
    .option('--charts <folder>', 'write a picture of each workload as SVG and PNG')
    .option('--dark', 'dark pictures')
    .option('--force', 'replace pictures that holdwatt did not make')
    .addHelpText('after', EXAMPLES)
    .action(async (paths: string[], options: SurveyOptions) => {
      requireFiles(command, paths, options)
      await printSurvey(paths, options, context)
    })
  return addTableOptions(addOutputOptions(addArchiveOptions(command, { resumes: false })))
}

async function printSurvey(
  paths: readonly string[],
  options: SurveyOptions,
  context: Context,
): Promise<void> {
  const { workloads, failed, warnings } = await readSurvey(paths, options, context)
  if (isTableAlone(options)) {
    const { printTables } = await import('../output/printTables.js')
    return printTables({ tables: surveyTables(workloads), warnings }, options, context)
  }
  const charts = await writePictures(workloads, options, context)
  const document = () => ({ workloads: workloads.map(spokenSurvey), failed, charts })
  const view = { workloads, failed }
  printAnswer({ command: 'survey', warnings, document, view, say: saySurvey }, options, context)
}

/** Warnings of each machine in words, as everywhere in JSON. */
function spokenSurvey({ machines, ...survey }: WorkloadSurvey): object {
  return {
    ...survey,
    machines: machines.map((machine) => ({
      ...machine,
      warnings: machine.warnings.map((warning) => ({ code: warning.code, message: sayWarning(warning) })),
    })),
  }
}

/** The charting library is loaded for pictures only. */
async function writePictures(
  workloads: readonly WorkloadSurvey[],
  options: SurveyOptions,
  context: Context,
): Promise<readonly string[]> {
  const { charts: folder, dark, force } = options
  if (folder === undefined) return []
  const [{ surveyCharts }, { writeCharts }] = await Promise.all([
    import('../../show/charts/surveyCharts.js'),
    import('../../show/page/writePage.js'),
  ])
  const charts = surveyCharts(workloads)
  const progress = showProgress(context, 'drawing', charts.length)
  const files = { folder, widthPx: PICTURE_PX, dark: dark === true, force: force === true }
  try {
    return await writeCharts(charts, { ...files, onProgress: progress.update })
  } finally {
    progress.stop()
  }
}

/** Width of a picture: fits a video frame, as those of `page`. */
const PICTURE_PX = 1280

const EXAMPLES = `
Examples:
  holdwatt survey archive/
  holdwatt survey archive/ --at 45W --charts pictures
  holdwatt survey "archive/**/render*.yaml" --json`
