import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Browser, BrowserContextOptions, Page } from 'playwright-core'
import { afterAll, beforeAll, describe } from 'vitest'
import { findBrowser, openBrowser } from './openBrowser.js'
import { type OpenTab, openTab } from './openTab.js'

/** The desk's file as it was built. */
export const builtDesk = fileURLToPath(new URL('../../dist/desk.html', import.meta.url))

/** What tests of the desk share: one browser, and a folder for what they save. */
export interface DeskSetting {
  folder: string
  /** Opens a desk in a tab of its own; `file` in place of the one in `dist`. */
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
      open: (options, path = builtDesk) => openTab(browser!, path, options),
      cleared: async () => {
        if (shared === undefined) shared = await setting.open()
        else await forgetEverything(shared.tab)
        return shared
      },
    }

    beforeAll(async () => {
      setting.folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
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
