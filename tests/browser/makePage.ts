import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'
import { checkFiles } from '../../src/audit/checkFiles.js'
import { pageMachines } from '../../src/cli/commands/pageMachines.js'
import { overviewMachines } from '../../src/predict/overview/overviewMachines.js'
import { pageCharts } from '../../src/show/page/pageCharts.js'
import { pageContent } from '../../src/show/page/pageContent.js'
import { plotPage } from '../../src/show/page/plotPage.js'
import { readInputs } from '../../src/show/page/readInputs.js'
import { readPageParts } from '../../src/show/page/readPageParts.js'
import { runInside } from '../cli/commandLine.js'

/** A page of some sheets, with the what-if bundled from the sources as they are now. */
export async function makePage(sheets: readonly string[]): Promise<string> {
  const machines = await pageMachines(sheets, () => {})
  const [inputs, findings] = await Promise.all([readInputs(machines), checkFiles(sheets)])
  const content = pageContent(overviewMachines(machines), {
    version: '0.0.0',
    command: 'holdwatt page',
    inputs,
    findings,
  })
  const parts = { ...(await readPageParts()), script: await bundleWhatIf() }
  return plotPage(content, pageCharts(content), { ...parts, dark: false })
}

/** What a command prints as JSON. */
export async function runJson(words: readonly string[]): Promise<unknown> {
  const { status, stdout, stderr } = await runInside([...words, '--json'])
  if (status !== 0) throw new Error(`holdwatt ${words.join(' ')} ended with ${status}: ${stderr}`)
  return JSON.parse(stdout)
}

async function bundleWhatIf(): Promise<string> {
  const entry = fileURLToPath(new URL('../../src/show/page/whatIf/whatIf.ts', import.meta.url))
  const options = {
    bundle: true,
    minify: true,
    platform: 'browser',
    target: 'es2022',
    format: 'iife',
  } as const
  const built = await build({ entryPoints: [entry], write: false, ...options })
  return built.outputFiles[0]!.text
}
