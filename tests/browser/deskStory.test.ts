import { readFile, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import type { Download, Page } from 'playwright-core'
import { beforeAll, expect, it } from 'vitest'
import { runInside } from '../cli/commandLine.js'
import { describeDesk } from './describeDesk.js'
import { findAxeProblems } from './findAxeProblems.js'
import { drawn, giveFiles, sample } from './openDesk.js'
import type { OpenTab } from './openTab.js'

const SAMPLES = [
  'heron-loop.csv',
  'heron.yaml',
  'ibis-loop.tsv',
  'ibis.yaml',
  'bittern-loop.csv',
  'bittern.yaml',
]

/** Fits of three machines, on a shared computer. */
const LONG_MS = 180_000

describeDesk('deskStory.test.ts', 'the story of the samples on the desk', (given) => {
  let open: OpenTab

  beforeAll(async () => {
    open = await given.open()
    open.tab.setDefaultTimeout(LONG_MS)
    await giveFiles(open.tab, SAMPLES.map(sample))
    await drawn(open.tab, 3)
  }, LONG_MS)

  it.each(['heron.yaml', 'ibis.yaml', 'bittern.yaml'])(
    'fits %s with the very figures of the command',
    async (sheet) => {
      const card = open.tab.locator(`[data-sheet="${sheet}"]`)
      await expectSame(open.tab, card.locator('.answer'))
    },
    LONG_MS,
  )

  it(
    'projects into supposed limits and into the chassis of another machine as the command does',
    async () => {
      const { tab } = open
      const answer = tab.locator('.ask [data-kind=project]')
      await answer.waitFor()
      await tab.getByLabel('Sustained power, W', { exact: true }).fill('71')
      await tab.getByLabel('Sustained power, W', { exact: true }).press('Tab')
      await tab.getByLabel('Burst power, W', { exact: true }).fill('104')
      await tab.getByLabel('Burst power, W', { exact: true }).press('Tab')
      await waitForCommand(tab, /--sustained 71W .*--burst 104W/)
      await expectSame(tab, answer)
      await tab
        .locator('.ask label', { hasText: /^in a chassis/ })
        .locator('select')
        .selectOption({ label: 'as of Ibis 15' })
      await waitForCommand(tab, /--chassis ibis\.yaml/)
      await expectSame(tab, answer)
    },
    LONG_MS,
  )

  it.each([
    ['At equal power', 'compare'],
    ['Why one scores less', 'explain'],
    ['How to test next time', 'plan'],
    ['Was the test fair?', 'check'],
  ])(
    'answers "%s" with the very figures of the command',
    async (name, kind) => {
      await open.tab.getByRole('button', { name }).click()
      await expectSame(open.tab, open.tab.locator(`.ask [data-kind=${kind}]`))
    },
    LONG_MS,
  )

  it(
    'asks nothing of a network, complains of nothing, and gives an accessibility engine nothing to object to',
    async () => {
      const { tab, requests, messages } = open
      for (const details of await tab.locator('summary').all()) await details.click()
      for (const colorScheme of ['light', 'dark'] as const) {
        await tab.emulateMedia({ colorScheme })
        expect(await findAxeProblems(tab, colorScheme === 'dark')).toEqual([])
      }
      await tab.setViewportSize({ width: 360, height: 740 })
      expect(await tab.evaluate(() => document.documentElement.scrollWidth)).toBe(360)
      await tab.setViewportSize({ width: 1280, height: 900 })
      expect({ requests, messages }).toEqual({ requests: [], messages: [] })
    },
    LONG_MS,
  )

  it(
    'gives pictures, a page that opens without a word, and models',
    async () => {
      const { tab } = open
      const svg = await saved(tab, 'Picture as SVG')
      expect(svg).toMatch(/^<svg[^>]*data-made-by="holdwatt"/)
      const png = await download(tab, 'Picture as PNG')
      expect((await readFile(await png.path())).subarray(1, 4).toString()).toBe('PNG')
      expect(JSON.parse(await saved(tab, 'Chip model'))).toMatchObject({
        format: 'holdwatt-chip',
        name: 'Kestrel 16',
      })
      expect(JSON.parse(await saved(tab, 'Chassis model'))).toMatchObject({ format: 'holdwatt-chassis' })
      const page = join(given.folder, 'page.html')
      await writeFile(page, await saved(tab, 'Page to publish'))
      const words: string[] = []
      const reader = await open.context.newPage()
      reader.on('console', (message) => words.push(message.text()))
      await reader.goto(pathToFileURL(page).href)
      await reader.locator('#wi-chart svg path').first().waitFor({ state: 'attached' })
      expect(await reader.locator('h2').count()).toBeGreaterThan(5)
      expect(words).toEqual([])
      await reader.close()
    },
    LONG_MS,
  )

  it(
    'is one file that another desk opens, survives a closed tab, and forgets everything when told',
    async () => {
      const { tab } = await given.cleared()
      tab.setDefaultTimeout(LONG_MS)
      await giveFiles(tab, ['ibis-compile.tsv', 'ibis-compile.yaml', 'bittern-noted.yaml'].map(sample))
      const shown = async () => {
        await drawn(tab, 1)
        return tab.locator('.card .file').allTextContents()
      }
      const before = await shown()
      expect(before.length).toBe(3)
      const file = await saved(tab, 'Desk as one file')
      const kept = join(given.folder, 'kept.json')
      await writeFile(kept, file)
      await given.cleared()
      await giveFiles(tab, [kept])
      expect(await shown()).toEqual(before)
      await tab.reload()
      expect(await shown()).toEqual(before)
      expect(deskOf(await saved(tab, 'Desk as one file'))).toEqual(deskOf(file))
      await tab.getByRole('button', { name: 'Forget everything' }).click()
      await tab.getByRole('button', { name: 'Forget everything now' }).click()
      await tab.locator('.steps').waitFor()
      await tab.reload()
      await tab.locator('.steps').waitFor()
      expect(await tab.locator('.card').count()).toBe(0)
    },
    LONG_MS,
  )
})

const deskOf = (file: string): unknown => (JSON.parse(file) as { desk: unknown }).desk

/** The table that an answer hands out is byte for byte what its command prints. */
async function expectSame(tab: Page, answer: ReturnType<Page['locator']>) {
  const folder = dirname(sample('x'))
  await answer.waitFor()
  const command = (await answer.locator('.command').textContent())!
  const taken = await saved(tab, 'Table as CSV', answer)
  const words = command.split(' ').slice(1)
  const { status, stdout, stderr } = await runInside([
    ...words.map((word) => (/\.ya?ml$/.test(word) ? join(folder, word) : word)),
    '--csv',
  ])
  expect({ status, stderr: status === 0 || status === 3 ? '' : stderr }).toEqual({ status, stderr: '' })
  expect(taken.trim()).toBe(stdout.replaceAll(`${folder}/`, '').trim())
  expect(taken.split('\n').length).toBeGreaterThan(2)
}

async function waitForCommand(tab: Page, command: RegExp): Promise<void> {
  await tab.locator('.ask .command').filter({ hasText: command }).waitFor()
}

async function download(tab: Page, name: string, within?: ReturnType<Page['locator']>): Promise<Download> {
  const [file] = await Promise.all([
    tab.waitForEvent('download'),
    (within ?? tab).getByRole('button', { name }).first().click(),
  ])
  return file
}

async function saved(tab: Page, name: string, within?: ReturnType<Page['locator']>): Promise<string> {
  return readFile(await (await download(tab, name, within)).path(), 'utf8')
}
