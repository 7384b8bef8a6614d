import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { runInside } from '../cli/commandLine.js'
import { findAxeProblems } from './findAxeProblems.js'
import { makeDesk } from './makeDesk.js'
import { findBrowser, openBrowser } from './openBrowser.js'
import { drawn, giveFiles, openDesk, sample, textFile } from './openDesk.js'

const executable = findBrowser()
if (executable === undefined) {
  process.stderr.write(
    '\nLeft out: tests/browser/deskReview.test.ts (no Chromium found; see tests/browser/openBrowser.ts)\n',
  )
}

/** Logs of a whole session, on a shared computer. */
const LONG_MS = 180_000

describe.skipIf(executable === undefined)('more than a plain sheet on the desk', () => {
  let browser: Browser
  let folder: string
  let desk: string

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-desk-'))
    desk = join(folder, 'desk.html')
    await writeFile(desk, await makeDesk())
    browser = await openBrowser(executable!)
  }, 60_000)

  afterAll(async () => {
    await browser?.close()
    await rm(folder, { recursive: true, force: true })
  })

  it(
    'shows one workload of many by the figures of the command, and saves all of them',
    async () => {
      const { tab, messages, close } = await openDesk(browser, desk)
      tab.setDefaultTimeout(LONG_MS)
      const text = await readFile(sample('review/heron-14.yaml'), 'utf8')
      await giveFiles(tab, [sample('review/heron-14-battery.csv'), sample('review/heron-14.yaml')])
      await drawn(tab, 1)
      const card = tab.locator('[data-sheet="heron-14.yaml"]')
      await card.getByLabel('Workload and mode').selectOption('page garden @ battery')
      await card.locator('.answer .command', { hasText: '#page garden @ battery' }).waitFor()
      expect(await findAxeProblems(tab)).toEqual([])
      const [taken] = await Promise.all([
        tab.waitForEvent('download'),
        card.getByRole('button', { name: 'Table as CSV' }).first().click(),
      ])
      const { stdout } = await runInside([
        'fit',
        `${sample('review/heron-14.yaml')}#page garden @ battery`,
        '--csv',
      ])
      expect((await readFile(await taken.path(), 'utf8')).trim()).toBe(
        stdout.replaceAll(sample('review/'), '').trim(),
      )
      const [sheet] = await Promise.all([
        tab.waitForEvent('download'),
        tab.getByRole('button', { name: 'Sheet (YAML)' }).click(),
      ])
      expect(await readFile(await sheet.path(), 'utf8')).toBe(text)
      expect(messages).toEqual([])
      await close()
    },
    LONG_MS,
  )

  it(
    'works out a power by a formula over columns of the log',
    async () => {
      const { tab, messages, close } = await openDesk(browser, desk)
      const amps = (second: number) => (second < 60 || second > 400 ? 0.3 : 2)
      const rows = Array.from(
        { length: 460 },
        (_, second) => `${second},20,${amps(second) + (second % 3) / 100}`,
      )
      await giveFiles(tab, [textFile('wren.csv', `time_s,volts,amps\n${rows.join('\n')}\n`)])
      const formula = tab.getByLabel('Power by a formula (volts * amps)')
      await formula.fill('volts * amps')
      await formula.press('Enter')
      await drawn(tab, 1)
      await tab.getByText('40.2').first().waitFor()
      expect(messages).toEqual([])
      await close()
    },
    LONG_MS,
  )
})
