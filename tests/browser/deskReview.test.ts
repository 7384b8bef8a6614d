import { readFile } from 'node:fs/promises'
import { expect, it } from 'vitest'
import { runInside } from '../cli/commandLine.js'
import { describeDesk } from './describeDesk.js'
import { findAxeProblems } from './findAxeProblems.js'
import { drawn, giveFiles, sample, textFile } from './openDesk.js'

/** Logs of a whole session, on a shared computer. */
const LONG_MS = 180_000

describeDesk('deskReview.test.ts', 'more than a plain sheet on the desk', (given) => {
  it(
    'shows one workload of many by the figures of the command, and saves all of them',
    async () => {
      const { tab, messages } = await given.cleared()
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
    },
    LONG_MS,
  )

  it(
    'works out a power by a formula over columns of the log',
    async () => {
      const { tab, messages } = await given.cleared()
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
    },
    LONG_MS,
  )
})
