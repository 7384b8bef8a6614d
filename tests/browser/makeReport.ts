import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'
import { checkFiles } from '../../src/audit/checkFiles.js'
import { reportMachines } from '../../src/cli/commands/reportMachines.js'
import { runCommandLine } from '../../src/cli/runCommandLine.js'
import { readInputs } from '../../src/show/page/readInputs.js'
import { readPageParts } from '../../src/show/page/readPageParts.js'
import { plotReportPage } from '../../src/show/page/reportPage.js'
import { reportCharts } from '../../src/show/page/reportPageCharts.js'
import { reportContent } from '../../src/show/page/reportPageContent.js'

/** A report page of some sheets, with the what-if bundled from the sources as they are now. */
export async function makeReport(sheets: readonly string[]): Promise<string> {
  const machines = await reportMachines(sheets, () => {})
  const [inputs, findings] = await Promise.all([readInputs(machines), checkFiles(sheets)])
  const content = reportContent(machines, { version: '0.0.0', command: 'holdwatt report', inputs, findings })
  const parts = { ...(await readPageParts()), script: await bundleWhatIf() }
  return plotReportPage(content, reportCharts(content), { ...parts, dark: false })
}

/** What a command prints as JSON. */
export async function runJson(words: readonly string[]): Promise<unknown> {
  let out = ''
  let err = ''
  const status = await runCommandLine([...words, '--json'], {
    version: '0.0.0',
    env: {},
    stdoutIsTerminal: false,
    stderrIsTerminal: false,
    columns: undefined,
    writeOut: (text) => {
      out += text
    },
    writeErr: (text) => {
      err += text
    },
  })
  if (status !== 0) throw new Error(`holdwatt ${words.join(' ')} ended with ${status}: ${err}`)
  return JSON.parse(out)
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
