import { join } from 'node:path'
import { Command, InvalidArgumentError, Option } from 'commander'
import { checkFiles } from '../../audit/checkFiles.js'
import { InputError } from '../../errors.js'
import { readInTurn } from '../../files/readInTurn.js'
import type { SharedLogs } from '../../machine/readTestedMachine.js'
import { overviewMachines } from '../../predict/overview/overviewMachines.js'
import { readWholeSheet } from '../../sheet/readSheet.js'
import type { ReviewSheet } from '../../sheet/reviewSheet.js'
import type { TestSheet } from '../../sheet/testSheet.js'
import type { Chart } from '../../show/charts/chart.js'
import { chartSnippets } from '../../show/page/chartSnippets.js'
import { type MethodBox, methodBox, methodBoxAs } from '../../show/page/methodBox.js'
import { type PageCharts, pageCharts } from '../../show/page/pageCharts.js'
import { pageContent } from '../../show/page/pageContent.js'
import { headlineOfPage } from '../../show/page/pageHeadlines.js'
import { plotPage } from '../../show/page/plotPage.js'
import { publicPath } from '../../show/page/publicPath.js'
import { readInputs } from '../../show/page/readInputs.js'
import { readPageParts } from '../../show/page/readPageParts.js'
import { writeCharts, writePage, writeSnippet } from '../../show/page/writePage.js'
import { readSheetPaths } from '../archive/readSheetPaths.js'
import type { Context } from '../context.js'
import { quantityOption } from '../options/quantityOption.js'
import { printAnswer } from '../output/printAnswer.js'
import { showProgress } from '../output/showProgress.js'
import type { MadePage, PageRequest } from './madePage.js'
import { pageMachines } from './pageMachines.js'

interface PageOptions {
  readonly out: string
  readonly charts?: string
  readonly method?: string
  readonly width: number
  readonly at?: number
  readonly dark?: boolean
  readonly force?: boolean
  readonly json?: boolean
}

/** `holdwatt page SHEET… --out FILE.html`: one page that can be published. */
export function pageCommand(context: Context): Command {
  return new Command('page')
    .summary('one page that can be published')
    .description(
      'Fits the machines of the sheets and writes one self-contained HTML page: conclusion, traces, score curves, chips at equal power, the gap and its parts, a what-if, the audit, method, and what is needed to repeat it. Of sheets with many workloads it writes the page of a review: the verdict, geometric means, a picture for each pair of machines and mode, and every score as tested and at equal power.',
    )
    .argument(
      '<sheet...>',
      'test sheets, one for each machine, or folders of them; the first is compared with the others',
    )
    .requiredOption('--out <file>', 'the page to write')
    .option('--charts <folder>', 'write each chart as SVG and PNG too, with alt texts to paste')
    .option('--method <file>', 'write how it was computed, to paste: .md, .html or .txt')
    .addOption(new Option('--width <pixels>', 'width of the pictures').default(1280).argParser(parseWidth))
    .addOption(
      quantityOption(
        '--at <power>',
        'of a review: power of the comparison at equal power (default: halfway between what the machines held)',
        'power',
      ),
    )
    .option('--dark', 'dark pictures, and a page that begins dark')
    .option('--force', 'replace files that holdwatt did not make')
    .option('--json', 'print one JSON document and nothing else')
    .addHelpText('after', EXAMPLES)
    .action((words: string[], options: PageOptions) => writeAll(words, options, context))
}

async function writeAll(words: readonly string[], options: PageOptions, context: Context): Promise<void> {
  const paths = await readSheetPaths(words)
  const request = {
    paths,
    version: context.version,
    command: repeatCommand(words, options),
    atW: options.at,
    dark: options.dark === true,
  }
  const sheets = await sheetsOfReview(paths)
  if (sheets === null && options.at !== undefined) throw atWithoutReview()
  const made = await withProgress(
    context,
    sheets === null ? 'fitting' : 'reading',
    paths.length,
    async (onProgress) => {
      if (sheets === null) return makePage({ ...request, onProgress })
      const { pageReview } = await import('./pageReview.js')
      return pageReview({ ...request, sheets, onProgress })
    },
  )
  await writePage(options.out, made.page, { force: options.force === true })
  const pictures = await writePictures(made.charts, options, context)
  const method = await writeMethod(made.box, options)
  printAnswer(
    {
      command: 'page',
      warnings: made.warnings,
      document: () => ({
        page: options.out,
        charts: pictures,
        ...(options.method === undefined ? {} : { method: options.method }),
        headline: made.headline,
        inputs: made.inputs,
      }),
      view: [options.out, ...pictures, ...method],
      say: (written) => written.join('\n'),
    },
    { ...(options.json === undefined ? {} : { json: options.json }) },
    context,
  )
}

/** The sheets, where the words name whole ones and one of them has several tests; else null. */
async function sheetsOfReview(
  paths: readonly string[],
): Promise<readonly (TestSheet | ReviewSheet)[] | null> {
  if (!paths.every((path) => /\.ya?ml$/i.test(path))) return null
  const sheets = await readInTurn(paths, readWholeSheet)
  return sheets.some((sheet) => 'tests' in sheet && sheet.tests.length > 1) ? sheets : null
}

function atWithoutReview(): InputError {
  return new InputError(
    'at-without-review',
    'expected sheets of many workloads with --at, got one workload each',
    {
      remedy:
        'leave --at out: the page of one workload shows chips at every power; or see holdwatt compare --at',
    },
  )
}

/** The page of machines in one workload each. */
async function makePage({ paths, version, command, dark, onProgress }: PageRequest): Promise<MadePage> {
  const logs: SharedLogs = new Map()
  const machines = await pageMachines(paths, onProgress, logs)
  const tests = machines.flatMap((machine) => machine.tests.map((read) => ({ file: read.sheet.file, read })))
  const [inputs, findings] = await Promise.all([readInputs(tests), checkFiles(paths, {}, logs)])
  const content = pageContent(overviewMachines(machines), { version, command, inputs, findings })
  const charts = pageCharts(content)
  return {
    page: await plotPage(content, charts, { ...(await readPageParts()), dark }),
    headline: headlineOfPage(content),
    charts: allCharts(charts),
    box: methodBox(content),
    inputs,
    warnings: machines.flatMap((machine) => machine.warnings),
  }
}

/** The method box, in the form that the file's name asks for. */
async function writeMethod(box: MethodBox, options: PageOptions): Promise<readonly string[]> {
  const { method, force } = options
  if (method === undefined) return []
  const form = /\.md$/i.test(method) ? 'markdown' : /\.html?$/i.test(method) ? 'html' : 'text'
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
  const at = options.at === undefined ? '' : ` --at ${options.at}W`
  const dark = options.dark === true ? ' --dark' : ''
  return `holdwatt page ${paths.map(publicPath).map(quote).join(' ')} --out ${quote(publicPath(options.out))}${at}${dark}`
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
  holdwatt page heron.yaml ibis.yaml --out duel.html --charts pictures --width 1920 --dark
  holdwatt page review/*.yaml --out review.html`
