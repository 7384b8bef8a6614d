import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { expectAccessible } from './findAxeProblems.js'
import { makePage } from './makePage.js'
import { findBrowser, openBrowser } from './openBrowser.js'
import { expectSwitchesAndPrints, openTab } from './openTab.js'

const executable = findBrowser()
if (executable === undefined) {
  process.stderr.write(
    '\nLeft out: tests/browser/reviewPage.test.ts (no Chromium found; install one, or name it in HOLDWATT_BROWSER)\n',
  )
}

const SHEETS = ['heron-14', 'ibis-15'].map((name) =>
  fileURLToPath(new URL(`../../samples/review/${name}.yaml`, import.meta.url)),
)

describe.skipIf(executable === undefined)('the page of a review in a browser', () => {
  let browser: Browser
  let folder: string
  let page: string
  let hostile: string

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-review-'))
    page = join(folder, 'page.html')
    hostile = join(folder, 'hostile.html')
    await makePage(SHEETS, page)
    await makePage(await hostileSheets(folder), hostile)
    browser = await openBrowser(executable!)
  }, 60_000)

  afterAll(() => rm(folder, { recursive: true, force: true }))

  it('loads with the network cut, asks for nothing and says nothing on the console', async () => {
    const { requests, messages, close } = await openTab(browser, page)
    expect({ requests, messages }).toEqual({ requests: [], messages: [] })
    await close()
  })

  it('shows hostile names of machines, chips, workloads, units and modes as text, and runs nothing of them', async () => {
    const { tab, messages, close } = await openTab(browser, hostile)
    expect(
      await tab.evaluate(() => ({
        owned: 'owned' in window,
        images: document.images.length,
        italics: document.querySelectorAll('i, b').length,
      })),
    ).toEqual({ owned: false, images: 0, italics: 0 })
    const text = (await tab.locator('body').textContent()) ?? ''
    for (const name of Object.values(HOSTILE)) expect(text).toContain(name)
    expect(messages).toEqual([])
    await close()
  })

  it('says the verdict first, then what to quote, means, pictures, scores, causes, modes, the check and the method', async () => {
    const { tab, close } = await openTab(browser, page)
    const ids = await tab.locator('main > section').evaluateAll((found) => found.map(({ id }) => id))
    expect(ids).toEqual(['quote', 'means', 'pairs', 'scores', 'causes', 'modes', 'audit', 'method', 'inputs'])
    expect(await tab.locator('h1').textContent()).toBe(
      'Ibis 15 is faster than Heron 14 in every power mode, as tested and at equal power',
    )
    const titles = await tab.locator('h1, h2, h3').allTextContents()
    expect(titles.filter((title, index) => titles.indexOf(title) !== index)).toEqual([])
    expect(await tab.locator('nav a').count()).toBe(ids.length)
    await close()
  })

  it('gives an accessibility engine nothing to object to, light and dark, wide and on a phone, and fits it', async () => {
    const { tab, close } = await openTab(browser, page)
    await tab.evaluate(() => {
      for (const details of document.querySelectorAll('details')) details.open = true
    })
    await expectAccessible(tab)
    await close()
  })

  it('is never wider than a screen of 360 px, and every label of its pictures lies inside of them', async () => {
    const { tab, close } = await openTab(browser, page, { viewport: { width: 360, height: 740 } })
    expect(await tab.evaluate(() => document.documentElement.scrollWidth)).toBe(360)
    expect(await labelsOutside(tab)).toEqual([])
    await tab.setViewportSize({ width: 1200, height: 900 })
    expect(await labelsOutside(tab)).toEqual([])
    await close()
  })

  it('switches to dark, opens everything for the printer and prints light', async () => {
    const { tab, close } = await openTab(browser, page, { colorScheme: 'light' })
    await expectSwitchesAndPrints(tab)
    await tab.evaluate(() => dispatchEvent(new Event('beforeprint')))
    expect(await tab.locator('details:not([open])').count()).toBe(0)
    await close()
  })

  it('reads without scripts', async () => {
    const { tab, close } = await openTab(browser, page, { javaScriptEnabled: false })
    expect(await tab.locator('figure svg:visible').count()).toBe(2)
    await close()
  })
})

const HOSTILE = {
  machine: `<script>window.owned=1</script>"'&`,
  chip: '"><img src=x onerror="window.owned=2">',
  workload: '</script><script>window.owned=3</script>',
  unit: `<b onclick='x'>pts`,
  mode: '<i>mains',
}

/** Two machines with powers written down by hand, which are read at once. */
async function hostileSheets(folder: string): Promise<readonly string[]> {
  const { machine, chip, workload, unit, mode } = HOSTILE
  const files = ['', 'second '].map((prefix, index) => {
    const trial = (parts: object) => ({ workload, mode, ...parts })
    const runs = (scores: readonly number[]) =>
      scores.map((score, run) => ({ score, after: `${90 * run} s` }))
    const sheet = {
      machine: `${prefix}${machine}`,
      chip: `${prefix}${chip}`,
      chassis: 'case',
      workloads: [
        { name: workload, score: unit, better: 'higher' },
        { name: 'nest copy', score: 'MB/s', better: 'higher' },
      ],
      trials: [
        trial({ noted: [{ power: '52 W' }], runs: runs([100 + 10 * index, 101 + 10 * index]) }),
        trial({ mode: 'quiet', noted: [{ power: '32 W' }], runs: runs([80, 81]) }),
        trial({ workload: 'nest copy', runs: [{ score: 5170 }, { score: 5120 }] }),
      ],
    }
    return { file: join(folder, `hostile-${index}.yaml`), text: JSON.stringify(sheet) }
  })
  await Promise.all(files.map(({ file, text }) => writeFile(file, text)))
  return files.map(({ file }) => file)
}

/** Words of pictures that reach over the picture's edge by more than a pixel. */
function labelsOutside(tab: Page): Promise<readonly (string | null)[]> {
  return tab.evaluate(() =>
    [...document.querySelectorAll('figure svg')].flatMap((svg) => {
      const frame = svg.getBoundingClientRect()
      if (frame.width === 0) return []
      return [...svg.querySelectorAll('text')].flatMap((text) => {
        const { left, right } = text.getBoundingClientRect()
        return left < frame.left - 1 || right > frame.right + 1 ? [text.textContent] : []
      })
    }),
  )
}
