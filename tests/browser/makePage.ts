import { fileURLToPath } from 'node:url'
import { type BuildOptions, build } from 'esbuild'
import { checkFiles } from '../../src/audit/checkFiles.js'
import { pageMachines } from '../../src/cli/commands/pageMachines.js'
import { fitReview } from '../../src/machine/review/fitReview.js'
import { readReview } from '../../src/machine/review/readReview.js'
import { overviewMachines } from '../../src/predict/overview/overviewMachines.js'
import { pageCharts } from '../../src/show/page/pageCharts.js'
import { pageContent } from '../../src/show/page/pageContent.js'
import { plotPage } from '../../src/show/page/plotPage.js'
import { readInputs } from '../../src/show/page/readInputs.js'
import { readPageParts } from '../../src/show/page/readPageParts.js'
import { plotReviewPage } from '../../src/show/page/review/plotReviewPage.js'
import { reviewCharts } from '../../src/show/page/review/reviewCharts.js'
import { reviewContent } from '../../src/show/page/review/reviewContent.js'
import { root, runInside } from '../cli/commandLine.js'

/** A page of some sheets, with the what-if bundled from the sources as they are now. */
export async function makePage(sheets: readonly string[]): Promise<string> {
  const machines = await pageMachines(sheets, () => {})
  const tests = machines.flatMap((machine) => machine.tests.map((read) => ({ file: read.sheet.file, read })))
  const [inputs, findings] = await Promise.all([readInputs(tests), checkFiles(sheets)])
  const content = pageContent(overviewMachines(machines), {
    version: '0.0.0',
    command: 'holdwatt page',
    inputs,
    findings,
  })
  const parts = {
    ...(await readPageParts()),
    script: await bundle({ entryPoints: [source('whatIf/whatIf.ts')] }),
  }
  return plotPage(content, pageCharts(content), { ...parts, dark: false })
}

/** The page of a review of some sheets, with its script bundled from the sources as they are now. */
export async function makeReviewPage(sheets: readonly string[]): Promise<string> {
  const read = await Promise.all(sheets.map(readReview))
  const tests = read.flatMap(({ sheet, tests: own }) =>
    own.map((test) => ({ file: sheet.file, read: test.read })),
  )
  const [inputs, findings] = await Promise.all([readInputs(tests), checkFiles(sheets)])
  const facts = { version: '0.0.0', command: 'holdwatt page', inputs, findings }
  const content = reviewContent(read, fitReview(read), facts)
  const start = `import { startPage } from '${source('pageScript.ts')}'\nstartPage()`
  const parts = {
    ...(await readPageParts()),
    script: await bundle({ stdin: { contents: start, resolveDir: root } }),
  }
  return plotReviewPage(content, reviewCharts(content.review), { ...parts, dark: false })
}

/** What a command prints as JSON. */
export async function runJson(words: readonly string[]): Promise<unknown> {
  const { status, stdout, stderr } = await runInside([...words, '--json'])
  if (status !== 0) throw new Error(`holdwatt ${words.join(' ')} ended with ${status}: ${stderr}`)
  return JSON.parse(stdout)
}

function source(name: string): string {
  return fileURLToPath(new URL(`../../src/show/page/${name}`, import.meta.url))
}

async function bundle(entry: Pick<BuildOptions, 'entryPoints' | 'stdin'>): Promise<string> {
  const options = {
    bundle: true,
    minify: true,
    platform: 'browser',
    target: 'es2022',
    format: 'iife',
  } as const
  const built = await build({ ...entry, write: false, ...options })
  return built.outputFiles![0]!.text
}
