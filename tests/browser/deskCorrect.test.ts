import { copyFile, readFile, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { expect, it } from 'vitest'
import type { Load } from '../../src/segment/load.js'
import { sayInterval, sayValue } from '../../src/show/figures/sayEstimate.js'
import { runInside } from '../cli/commandLine.js'
import { describeDesk } from './describeDesk.js'
import { findAxeProblems } from './findAxeProblems.js'
import { drawn, giveFiles, sample } from './openDesk.js'

const COMPILE = sample('ibis-compile.tsv')

describeDesk('deskCorrect.test.ts', 'corrections on the desk', (given) => {
  const correcting = async () => {
    const open = await given.cleared()
    await giveFiles(open.tab, [COMPILE])
    await drawn(open.tab, 1)
    await open.tab.getByRole('button', { name: 'Correct the loads' }).click()
    return open
  }

  it('move an edge by drag, in the picture and in numbers, and are undone and done again', async () => {
    const { tab, messages } = await correcting()
    const end = tab.getByRole('slider', { name: 'End of load 1' })
    const before = await end.getAttribute('aria-valuetext')
    await end.scrollIntoViewIfNeeded()
    const box = (await end.boundingBox())!
    await tab.mouse.move(box.x + box.width - 2, box.y + 120)
    await tab.mouse.down()
    await tab.mouse.move(box.x - 150, box.y + 120, { steps: 5 })
    await tab.mouse.up()
    await tab.locator('.load-head mark').waitFor()
    const moved = await end.getAttribute('aria-valuetext')
    expect(moved).not.toBe(before)
    await tab.getByRole('button', { name: 'Undo' }).click()
    await tab.locator('.load-head mark').waitFor({ state: 'detached' })
    expect(await end.getAttribute('aria-valuetext')).toBe(before)
    await tab.getByRole('button', { name: 'Redo' }).click()
    await tab.locator('.load-head mark').waitFor()
    expect(await end.getAttribute('aria-valuetext')).toBe(moved)
    await tab.getByLabel('Load 1, to', { exact: true }).fill('20:00')
    await tab.getByLabel('Load 1, to', { exact: true }).press('Tab')
    await waitForHead(tab, /to 20:00/)
    expect(messages).toEqual([])
  })

  it('split, move by keys, join, and leave an accessibility engine nothing to object to', async () => {
    const { tab } = await correcting()
    await tab.getByRole('button', { name: 'Split load 1' }).press('Enter')
    await tab.getByRole('slider', { name: 'Where load 1 is split' }).waitFor()
    expect(await findAxeProblems(tab)).toEqual([])
    await tab.getByRole('button', { name: 'Split here' }).press('Enter')
    await tab.getByRole('slider', { name: 'End of load 2' }).waitFor()
    const start = tab.getByRole('slider', { name: 'Start of load 2' })
    const from = Number(await start.getAttribute('aria-valuenow'))
    await start.focus()
    await tab.keyboard.press('Shift+ArrowRight')
    await tab.keyboard.press('ArrowRight')
    await expect
      .poll(async () => Number(await start.getAttribute('aria-valuenow')) - from)
      .toBeCloseTo(11 * 2, 0)
    expect(await start.evaluate((element) => document.activeElement === element)).toBe(true)
    await tab.getByRole('button', { name: 'Join load 1 with load 2' }).press('Enter')
    await tab.getByRole('slider', { name: 'End of load 2' }).waitFor({ state: 'detached' })
    await tab.getByRole('button', { name: 'Back to what was found' }).press('Enter')
    await tab.locator('mark').first().waitFor({ state: 'detached' })
  }, 60_000)

  it('are kept in the sheet, from which `stages`, `check` and `fit` give the figures of the desk', async () => {
    const { tab } = await correcting()
    tab.setDefaultTimeout(60_000)
    await tab.getByRole('button', { name: 'Name the machine, enter scores' }).click()
    await tab.getByLabel('Load 1, to', { exact: true }).fill('16:00')
    await tab.getByLabel('Load 1, to', { exact: true }).press('Tab')
    await waitForHead(tab, /to 16:00/)
    await tab.getByLabel(/^Scores of the runs/).fill('410\n395\n390\n388\n389')
    await tab.getByLabel(/^Scores of the runs/).press('Tab')
    const answer = tab.locator('.card[data-sheet] .answer')
    await answer.waitFor()
    const sheet = join(given.folder, 'ibis-compile.yaml')
    await writeFile(sheet, await saved(tab, 'Sheet (YAML)'))
    await copyFile(COMPILE, join(given.folder, 'ibis-compile.tsv'))
    expect(await readFile(sheet, 'utf8')).toMatch(/loads:\s+# set by hand/)
    const { stdout } = await runInside(['stages', sheet, '--json'])
    const [load] = (JSON.parse(stdout) as { loads: Load[] }).loads
    expect(await stageRows(tab)).toEqual(
      load!.stages.map(({ label, levelW }) => [label, sayValue(levelW, 'W'), sayInterval(levelW)]),
    )
    const fit = await runInside(['fit', sheet, '--csv'])
    expect((await saved(tab, 'Table as CSV', answer)).trim()).toBe(
      fit.stdout.replaceAll(`${given.folder}/`, '').trim(),
    )
    expect((await runInside(['check', sheet])).stdout).toContain('loads-given')
    // A desk on which nothing lay that gets sheet and log sees the loads as they were set.
    await given.cleared()
    await giveFiles(tab, [sheet, COMPILE])
    await waitForHead(tab, /to 16:00.*set by you/)
  }, 120_000)
})

async function waitForHead(tab: Page, words: RegExp): Promise<void> {
  await tab.locator('.load-head').filter({ hasText: words }).first().waitFor()
}

async function stageRows(tab: Page): Promise<string[][]> {
  const rows = await tab.locator('table.loads tbody tr:not(.settles):not(.load-head)').all()
  return Promise.all(
    rows.map(async (row) => {
      const cells = await row.locator('th,td').allTextContents()
      return [cells[0]!, cells[3]!, cells[4]!]
    }),
  )
}

async function saved(tab: Page, name: string, within?: ReturnType<Page['locator']>): Promise<string> {
  const [file] = await Promise.all([
    tab.waitForEvent('download'),
    (within ?? tab).getByRole('button', { name }).first().click(),
  ])
  return readFile(await file.path(), 'utf8')
}
