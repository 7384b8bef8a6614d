import { join } from 'node:path'
import { Command, InvalidArgumentError, Option } from 'commander'
import { checkFiles } from '../../audit/checkFiles.js'
import { overviewMachines } from '../../predict/overview/overviewMachines.js'
import type { Chart } from '../../show/charts/chart.js'
import { chartSnippets } from '../../show/page/chartSnippets.js'
import { methodBox, methodBoxAs } from '../../show/page/methodBox.js'
import { type PageCharts, pageCharts } from '../../show/page/pageCharts.js'
import { type PageContent, pageContent } from '../../show/page/pageContent.js'
import { headlineOfPage } from '../../show/page/pageHeadlines.js'
import { plotPage } from '../../show/page/plotPage.js'
import { publicPath } from '../../show/page/publicPath.js'
import { readInputs } from '../../show/page/readInputs.js'
import { readPageParts } from '../../show/page/readPageParts.js'
import { writeCharts, writePage, writeSnippet } from '../../show/page/writePage.js'
import type { Context } from '../context.js'
import { printAnswer } from '../output/printAnswer.js'
import { showProgress } from '../output/showProgress.js'
import { pageMachines } from './pageMachines.js'

interface PageOptions {
  readonly out: string
  readonly charts?: string
  readonly method?: string
  readonly width: number
  readonly dark?: boolean
  readonly force?: boolean
  readonly json?: boolean
}

/** `holdwatt page SHEET… --out FILE.html`: one page that can be published. */
export function pageCommand(context: Context): Command {
  return new Command('page')
    .summary('one page that can be published')
    .description(
      'Fits the machines of the sheets and writes one self-contained HTML page: conclusion, traces, score curves, chips at equal power, the gap and its parts, a what-if, the audit, method, and what is needed to repeat it.',
    )
    .argument('<sheet...>', 'test sheets, one for each machine; the first is compared with the others')
    .requiredOption('--out <file>', 'the page to write')
    .option('--charts <folder>', 'write each chart as SVG and PNG too, with alt texts to paste')
    .option('--method <file>', 'write how it was computed, to paste: .md, .html or .txt')
    .addOption(new Option('--width <pixels>', 'width of the pictures').default(1280).argParser(parseWidth))
    .option('--dark', 'dark pictures, and a page that begins dark')
    .option('--force', 'replace files that holdwatt did not make')
    .option('--json', 'print one JSON document and nothing else')
    .addHelpText('after', EXAMPLES)
    .action((paths: string[], options: PageOptions) => writeAll(paths, options, context))
}

async function writeAll(paths: readonly string[], options: PageOptions, context: Context): Promise<void> {
  const machines = await withProgress(context, 'fitting', paths.length, (done) => pageMachines(paths, done))
  const [inputs, findings] = await Promise.all([readInputs(machines), checkFiles(paths)])
  const command = repeatCommand(paths, options)
  const content = pageContent(overviewMachines(machines), {
    version: context.version,
    command,
    inputs,
    findings,
  })
  const charts = pageCharts(content)
  const force = options.force === true
  const parts = await readPageParts()
  const page = await plotPage(content, charts, { ...parts, dark: options.dark === true })
  await writePage(options.out, page, { force })
  const pictures = await writePictures(allCharts(charts), options, context)
  const method = await writeMethod(content, options)
  printAnswer(
    {
      command: 'page',
      warnings: machines.flatMap((machine) => machine.warnings),
      document: () => ({
        page: options.out,
        charts: pictures,
        ...(options.method === undefined ? {} : { method: options.method }),
        headline: headlineOfPage(content),
        inputs,
      }),
      view: [options.out, ...pictures, ...method],
      say: (written) => written.join('\n'),
    },
    { ...(options.json === undefined ? {} : { json: options.json }) },
    context,
  )
}

/** The method box, in the form that the file's name asks for. */
async function writeMethod(content: PageContent, options: PageOptions): Promise<readonly string[]> {
  const { method, force } = options
  if (method === undefined) return []
  const form = /\.md$/i.test(method) ? 'markdown' : /\.html?$/i.test(method) ? 'html' : 'text'
  const box = methodBox(content)
  await writeSnippet(method, methodBoxAs(form, box), { force: force === true, mark: box.title })
  return [method]
}

async function writePictures(
  charts: readonly Chart[],
  options: PageOptions,
  context: Context,
): Promise<readonly string[]> {
  const { charts: folder, width, dark, force } = options
  if (folder === undefined) return []
  const files = { folder, widthPx: width, dark: dark === true, force: force === true }
  const pictures = await withProgress(context, 'drawing', charts.length, (onProgress) =>
    writeCharts(charts, { ...files, onProgress }),
  )
  const snippets = chartSnippets(charts)
  const mark = charts[0]?.name ?? ''
  for (const [name, text] of [
    ['charts.md', snippets.markdown],
    ['charts.html', snippets.html],
  ] as const)
    await writeSnippet(join(folder, name), text, { force: files.force, mark })
  return [...pictures, join(folder, 'charts.md'), join(folder, 'charts.html')]
}

function allCharts({ machines, comparison, gaps }: PageCharts): readonly Chart[] {
  const ofMachines = machines.flatMap(({ traces, curve, sweep }) => [...traces, curve, sweep])
  return [...ofMachines, ...(comparison ? [comparison] : []), ...gaps]
}

async function withProgress<T>(
  context: Context,
  what: string,
  total: number,
  work: (onProgress: (done: number) => void) => Promise<T>,
): Promise<T> {
  const progress = showProgress(context, what, total)
  try {
    return await work(progress.update)
  } finally {
    progress.stop()
  }
}

function repeatCommand(paths: readonly string[], options: PageOptions): string {
  const quote = (text: string) => (/^[\w./-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`)
  const dark = options.dark === true ? ' --dark' : ''
  return `holdwatt page ${paths.map(publicPath).map(quote).join(' ')} --out ${quote(publicPath(options.out))}${dark}`
}

function parseWidth(text: string): number {
  const width = Number(text)
  if (!Number.isInteger(width) || width < 320 || width > 7680) {
    throw new InvalidArgumentError('Expected a whole number of pixels from 320 to 7680.')
  }
  return width
}

const EXAMPLES = `
The page asks nothing of any network. A page or picture that holdwatt made is replaced; any other file only with --force.

Examples:
  holdwatt page heron.yaml --out heron.html
  holdwatt page heron.yaml ibis.yaml --out duel.html --charts pictures --width 1920 --dark`
