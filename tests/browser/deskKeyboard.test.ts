import { copyFile, readFile, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { FileChooser, Page } from 'playwright-core'
import { expect, it } from 'vitest'
import { runInside } from '../cli/commandLine.js'
import { describeDesk } from './describeDesk.js'
import { findAxeProblems } from './findAxeProblems.js'
import { drawn, sample } from './openDesk.js'

const LONG_MS = 180_000

const NAMES = [
  ['Machine', 'Heron 14'],
  ['Chip', 'Kestrel 16'],
  ['Chassis', 'Heron slim'],
  ['Room, °C', '22.5'],
  ['Workload', 'mosaic render'],
] as const

const SCORES = [
  'start,end,score',
  '29.8,85.1,13600',
  '85.1,142.9,12956',
  '143.0,207.9,11552',
  '275.8,343.8,10985',
  '1023.9,1091.9,11017',
]

describeDesk('deskKeyboard.test.ts', 'the desk by keyboard alone', (given) => {
  it(
    'reads a log, names the machine, takes scores, fits as the command does its sheet, answers, corrects, undoes and hands out the sheet',
    async () => {
      const { tab, messages, close } = await given.open()
      tab.setDefaultTimeout(60_000)
      // Listened for from the start, so that the dialog is caught however busy the machine is.
      const chooser = new Promise<FileChooser>((resolve) => tab.once('filechooser', resolve))

      await tabTo(tab, 'Choose files')
      await tab.keyboard.press('Enter')
      await (await chooser).setFiles(sample('heron-loop.csv'))
      await drawn(tab, 1)

      await tabTo(tab, 'Name the machine, enter scores')
      await tab.keyboard.press('Enter')
      await tab.locator('.card[data-sheet]').waitFor()
      for (const [label, words] of NAMES) {
        await tabTo(tab, label)
        await tab.keyboard.press('Control+A')
        await tab.keyboard.type(words)
      }
      await tabTo(tab, /^Scores of the runs/)
      await tab.keyboard.type(SCORES.join('\n'))
      await tab.keyboard.press('Tab')
      const answer = tab.locator('.card[data-sheet] .answer')
      await answer.locator('figure svg').first().waitFor()
      expect(await answer.textContent()).toMatch(/at four powers or more|Left out one level at a time/)
      expect(await findAxeProblems(tab)).toEqual([])
      const sheetFile = join(given.folder, 'heron-loop.yaml')
      await writeFile(sheetFile, await saved(tab, 'Sheet (YAML)'))
      await copyFile(sample('heron-loop.csv'), join(given.folder, 'heron-loop.csv'))
      const { stdout } = await runInside(['fit', sheetFile, '--csv'])
      expect(await saved(tab, 'Table as CSV')).toBe(stdout.replaceAll(`${given.folder}/`, ''))

      await tabTo(tab, 'How to test next time')
      await tab.keyboard.press('Enter')
      await tab.locator('.ask [data-kind=plan]').waitFor()
      await tabTo(tab, 'In another chassis')
      await tab.keyboard.press('Enter')
      await tabTo(tab, 'Sustained power, W')
      await tab.keyboard.press('Control+A')
      await tab.keyboard.type('60')
      await tab.keyboard.press('Enter')
      await tab.locator('.ask .command').filter({ hasText: '--sustained 60W' }).waitFor()
      expect(await findAxeProblems(tab)).toEqual([])

      await tabTo(tab, 'Correct the loads')
      await tab.keyboard.press('Enter')
      await tabTo(tab, 'End of load 1', 'Shift+Tab')
      const before = await tab.locator('.edge.closes').getAttribute('aria-valuenow')
      await tab.keyboard.press('Shift+ArrowLeft')
      await tab.locator('.load-head mark').waitFor()
      expect(await findAxeProblems(tab)).toEqual([])
      await tab.keyboard.press('Control+Z')
      await tab.locator('.load-head mark').waitFor({ state: 'detached' })
      expect(await tab.locator('.edge.closes').getAttribute('aria-valuenow')).toBe(before)
      await tab.keyboard.press('Control+Y')
      await tab.locator('.load-head mark').waitFor()

      await tabTo(tab, 'Sheet (YAML)')
      const sheet = await saved(tab, 'Sheet (YAML)')
      for (const words of ['machine: Heron 14', 'chip: Kestrel 16', 'ambient: 22.5 degC', '# set by hand'])
        expect(sheet).toContain(words)
      expect(messages).toEqual([])
      await close()
    },
    LONG_MS,
  )
})

/** What the first button of this name hands out. */
async function saved(tab: Page, name: string): Promise<string> {
  const button = tab.getByRole('button', { name }).first()
  const [file] = await Promise.all([tab.waitForEvent('download'), button.press('Enter')])
  return readFile(await file.path(), 'utf8')
}

/** Presses a key until the element with this name has the focus. */
async function tabTo(tab: Page, name: string | RegExp, key: 'Tab' | 'Shift+Tab' = 'Tab'): Promise<void> {
  const seen: string[] = []
  for (let press = 0; press < 150; press++) {
    const now = await tab.evaluate(() => {
      const at = document.activeElement
      if (at === null) return ''
      const label =
        (at as HTMLInputElement).labels?.[0]?.querySelector('span') ?? (at as HTMLInputElement).labels?.[0]
      return (at.getAttribute('aria-label') ?? label?.textContent ?? at.textContent ?? '').trim()
    })
    if (typeof name === 'string' ? now === name : name.test(now)) return
    seen.push(now.slice(0, 30))
    await tab.keyboard.press(key)
  }
  throw new Error(
    `no element called ${name} is reached by ${key}; reached: ${[...new Set(seen)].join(' | ')}`,
  )
}
