import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, BrowserContextOptions } from 'playwright-core'
import { afterAll, beforeAll, describe } from 'vitest'
import { makeDesk } from './makeDesk.js'
import { findBrowser, openBrowser } from './openBrowser.js'
import { type OpenTab, openTab } from './openTab.js'

/** What tests of the desk share: one browser, and a folder with the desk in it. */
export interface DeskSetting {
  folder: string
  /** Path of the desk's file. */
  desk: string
  /** Opens a desk in a tab of its own; `file` in place of the shared one. */
  open(options?: BrowserContextOptions, file?: string): Promise<OpenTab>
}

const executable = findBrowser()

/**
 * Tests of the desk in a browser; where there is none they are left out, and say so.
 *
 * @param file - name of the test's file, for that message
 */
export function describeDesk(file: string, what: string, tests: (setting: DeskSetting) => void): void {
  if (executable === undefined) {
    process.stderr.write(
      `\nLeft out: tests/browser/${file} (no Chromium found; see tests/browser/openBrowser.ts)\n`,
    )
  }
  describe.skipIf(executable === undefined)(what, () => {
    let browser: Browser | undefined
    const setting: DeskSetting = {
      folder: '',
      desk: '',
      open: (options, path = setting.desk) => openTab(browser!, path, options),
    }

    beforeAll(async () => {
      setting.folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
      setting.desk = join(setting.folder, 'desk.html')
      await writeFile(setting.desk, await makeDesk())
      browser = await openBrowser(executable!)
    }, 60_000)

    afterAll(async () => {
      await browser?.close()
      await rm(setting.folder, { recursive: true, force: true })
    })

    tests(setting)
  })
}
