import { auditTest } from '../../audit/auditTest.js'
import { checkTogether } from '../../audit/checkTogether.js'
import { formatChassis, formatChip } from '../../model/formatModel.js'
import { overviewMachines } from '../../predict/overview/overviewMachines.js'
import { pageCharts } from '../../show/page/pageCharts.js'
import { type PageInput, pageContent } from '../../show/page/pageContent.js'
import type { PageParts } from '../../show/page/pageFrame.js'
import { plotPage } from '../../show/page/plotPage.js'
import type { LogFile } from './logFile.js'
import { nameOfSheet, quoted, type SheetFile } from './question.js'
import type { TestShelf } from './testShelf.js'

/** What a page is made of: each machine's sheets, its own first, and what the page carries along. */
export interface PublishRequest {
  /** One list for each machine: its sheet, then those of the same chip and workload. */
  readonly machines: readonly (readonly SheetFile[])[]
  readonly logs: readonly LogFile[]
  readonly parts: PageParts
  readonly version: string
}

/** The page that `holdwatt page` writes, of machines on the desk. */
export async function publishMachines(request: PublishRequest, shelf: TestShelf): Promise<string> {
  const sheets = request.machines.map(([own]) => own!)
  const machines = await Promise.all(request.machines.map((group) => shelf.fit(group)))
  const tests = await Promise.all(sheets.map(shelf.test))
  const findings = checkTogether(
    tests.map((test) => ({ path: test.sheet.file, findings: auditTest(test), sheet: test.sheet })),
  )
  const content = pageContent(overviewMachines(machines), {
    version: request.version,
    command: `holdwatt page ${sheets.map((sheet) => quoted(nameOfSheet(sheet))).join(' ')} --out page.html`,
    inputs: await inputsOf(sheets, request.logs),
    findings,
  })
  return plotPage(content, pageCharts(content), { ...request.parts, dark: false })
}

/** The models that `holdwatt fit --chip … --chassis …` writes. */
export async function modelsOf(sheets: readonly SheetFile[], shelf: TestShelf) {
  const { chip, chassis } = await shelf.fit(sheets)
  return { chip: formatChip(chip), chassis: formatChassis(chassis) }
}

/** Names, sizes and SHA-256 checksums of what the page was made from. */
async function inputsOf(
  sheets: readonly SheetFile[],
  logs: readonly LogFile[],
): Promise<readonly PageInput[]> {
  const files = [
    ...sheets.map(({ file, text }) => ({ name: file, bytes: new TextEncoder().encode(text) })),
    ...(await Promise.all(
      logs.map(async ({ name, blob }) => ({ name, bytes: new Uint8Array(await blob.arrayBuffer()) })),
    )),
  ]
  return Promise.all(
    files.map(async ({ name, bytes }) => {
      const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))
      const sha256 = [...digest].map((byte) => byte.toString(16).padStart(2, '0')).join('')
      return { name, bytes: bytes.length, sha256 }
    }),
  )
}
