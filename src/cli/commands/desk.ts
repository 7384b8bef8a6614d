import { Command } from 'commander'
import { readDesk } from '../../desk/readDesk.js'
import { writePage } from '../../show/page/writePage.js'
import type { Context } from '../context.js'
import { printAnswer } from '../output/printAnswer.js'

interface DeskOptions {
  readonly out: string
  readonly force?: boolean
  readonly json?: boolean
}

/** `holdwatt desk --out FILE.html`: the page that does the main job without a terminal. */
export function deskCommand(context: Context): Command {
  return new Command('desk')
    .summary('all of this by hand, in one page without a terminal')
    .description(
      'Writes the desk: one HTML file that opens with a double click and asks nothing of any network. Logs are dropped onto it; loads, stages, fits, projections and sheets come out, with the figures that the commands print.',
    )
    .requiredOption('--out <file>', 'the page to write')
    .option('--force', 'replace a file that holdwatt did not make')
    .option('--json', 'print one JSON document and nothing else')
    .addHelpText('after', EXAMPLES)
    .action(async (options: DeskOptions) => {
      await writePage(options.out, await readDesk(), { force: options.force === true })
      printAnswer(
        {
          command: 'desk',
          warnings: [],
          document: () => ({ desk: options.out }),
          view: options.out,
          say: (path) => path,
        },
        { ...(options.json === undefined ? {} : { json: options.json }) },
        context,
      )
    })
}

const EXAMPLES = `
Examples:
  holdwatt desk --out desk.html              then open it in a browser`
