import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, BrowserContextOptions, Page } from 'playwright-core'
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
  /** A desk on which nothing lies, in the one tab that the tests of a file share: what lay there before was forgotten by its own button. */
  cleared(): Promise<OpenTab>
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
    let shared: OpenTab | undefined
    const setting: DeskSetting = {
      folder: '',
      desk: '',
      open: (options, path = setting.desk) => openTab(browser!, path, options),
      cleared: async () => {
        if (shared === undefined) shared = await setting.open()
        else await forgetEverything(shared.tab)
        return shared
      },
    }

    beforeAll(async () => {
      setting.folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
      setting.desk = join(setting.folder, 'desk.html')
      await writeFile(setting.desk, await makeDesk())
      browser = await openBrowser(executable!)
    }, 60_000)

    afterAll(async () => {
      await shared?.close()
      await rm(setting.folder, { recursive: true, force: true })
    })

    tests(setting)
  })
}

/** Leaves the desk as a new one, on a screen of the size and the light that tabs begin with. */
async function forgetEverything(tab: Page): Promise<void> {
  await tab.setViewportSize({ width: 1280, height: 720 })
  await tab.emulateMedia({ colorScheme: null })
  if ((await tab.locator('.steps').count()) > 0) return
  await tab.getByRole('button', { name: 'Forget everything' }).click()
  await tab.getByRole('button', { name: 'Forget everything now' }).click()
  await tab.locator('.steps').waitFor()
}
