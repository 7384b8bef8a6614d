import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Projection } from '../../src/predict/projection/projection.js'
import { expectAccessible } from './findAxeProblems.js'
import { makePage, runJson } from './makePage.js'
import { findBrowser, openBrowser } from './openBrowser.js'
import { expectSwitchesAndPrints, type OpenTab, openTab } from './openTab.js'

const executable = findBrowser()
if (executable === undefined) {
  process.stderr.write(
    '\nLeft out: tests/browser/page.test.ts (no Chromium found; install one, or name it in HOLDWATT_BROWSER)\n',
  )
}

const sample = (name: string) => fileURLToPath(new URL(`../../samples/${name}`, import.meta.url))
const HERON = sample('heron.yaml')
const IBIS = sample('ibis.yaml')

describe.skipIf(executable === undefined)('the page in a browser', () => {
  let browser: Browser
  let folder: string
  let page: string
  let hostile: string
  let shared: OpenTab | undefined

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-browser-'))
    page = join(folder, 'page.html')
    hostile = join(folder, 'hostile.html')
    await makePage([HERON, IBIS], page)
    await makePage([await hostileSheet(folder)], hostile)
    browser = await openBrowser(executable!)
  })

  afterAll(async () => {
    await shared?.close()
    await rm(folder, { recursive: true, force: true })
  })

  /** A page as it is when it has been loaded, in the one tab of these tests, on a wide and light screen. */
  async function open(file: string, hash = ''): Promise<OpenTab> {
    shared ??= await openClocked(browser, page)
    const { tab } = shared
    await tab.goto('about:blank')
    await tab.setViewportSize({ width: 1280, height: 720 })
    await tab.emulateMedia({ media: null, colorScheme: 'light' })
    await tab.goto(`${pathToFileURL(file).href}${hash}`)
    await tab.waitForSelector('#wi-chart svg path')
    await expect.poll(() => textOf(tab, '#wi-summary')).not.toBe('')
    return shared
  }

  it('loads with the network cut, asks for nothing and says nothing on the console', async () => {
    const { requests, messages } = await open(page)
    expect(requests).toEqual([])
    expect(messages).toEqual([])
  })

  it('shows hostile names as text and runs nothing of them', async () => {
    const { tab, messages } = await open(hostile)
    expect(await tab.evaluate(() => ({ owned: 'owned' in window, images: document.images.length }))).toEqual({
      owned: false,
      images: 0,
    })
    expect(await textOf(tab, 'main')).toContain(HOSTILE_MACHINE)
    expect(messages).toEqual([])
  })

  it('shows the same numbers as `holdwatt project --json` for what is set', async () => {
    const { tab } = await open(page)
    await tab.locator('#wi-sustainedW').fill('61.5')
    await tab.locator('#wi-burstForS').fill('12')
    await settled(tab)
    // The page names files without their folders.
    const words = (await textOf(tab, '#wi-command'))
      .split(' ')
      .slice(1)
      .map((word) => (word.endsWith('.yaml') ? sample(word) : word))
    const projection = (await runJson(words)) as Projection
    for (const which of ['first', 'steady'] as const) {
      const shown = await figure(tab, which)
      const { value, low, high } = projection[which].score
      // The page carries the chip to eight digits.
      expect(Math.abs(shown.value / value - 1)).toBeLessThan(1e-6)
      expect(Math.abs(shown.low / low - 1)).toBeLessThan(1e-6)
      expect(Math.abs(shown.high / high - 1)).toBeLessThan(1e-6)
    }
  })

  it('moves numbers, chart, fragment and summary when a slider is moved by keyboard', async () => {
    const { tab } = await open(page)
    const before = await state(tab)
    await tab.locator('#wi-sustainedW-slider').focus()
    for (let press = 0; press < 12; press++) await tab.keyboard.press('ArrowRight')
    await settled(tab)
    const after = await state(tab)
    expect(after.steady).toBeGreaterThan(before.steady)
    expect(after.path).not.toBe(before.path)
    expect(after.hash).toContain('sustained=')
    expect(after.summary).not.toBe(before.summary)
    expect(await tab.locator('#wi-summary').getAttribute('aria-live')).toBe('polite')
  })

  it('moves them when a slider is moved by mouse', async () => {
    const { tab } = await open(page)
    const before = await state(tab)
    const slider = tab.locator('#wi-burstW-slider')
    await slider.scrollIntoViewIfNeeded()
    const box = (await slider.boundingBox())!
    await tab.mouse.click(box.x + box.width * 0.95, box.y + box.height / 2)
    await settled(tab)
    const after = await state(tab)
    expect(after.first).toBeGreaterThan(before.first)
    expect(after.hash).not.toBe(before.hash)
  })

  it('opens a shared link with what was set in it', async () => {
    const hash = '#machine=2&sustained=70&short-term=80&short-term-for=30&burst=90&burst-for=15'
    const { tab } = await open(page, hash)
    expect(await tab.locator('#wi-machine').inputValue()).toBe('1')
    expect(await tab.locator('#wi-shortTermW').inputValue()).toBe('80')
    expect(await textOf(tab, '#wi-command')).toContain(
      '--sustained 70W --short-term 80W --short-term-for 30s --burst 90W --burst-for 15s',
    )
  })

  it('keeps burst, short-term and sustained power in order, whichever is moved', async () => {
    const { tab } = await open(page)
    await tab.locator('#wi-sustainedW').fill('200')
    await settled(tab)
    expect(await tab.locator('#wi-burstW').inputValue()).toBe('200')
    await tab.locator('#wi-burstW').fill('50')
    await settled(tab)
    expect(await tab.locator('#wi-sustainedW').inputValue()).toBe('50')
  })

  it('gives burst and short-term power back after a typo', async () => {
    const { tab } = await open(page)
    const others = () =>
      Promise.all(['burstW', 'shortTermW'].map((field) => tab.locator(`#wi-${field}`).inputValue()))
    const before = await others()
    await tab.locator('#wi-sustainedW').fill('450')
    await settled(tab)
    expect(await others()).toEqual(['450', '450'])
    await tab.locator('#wi-sustainedW').fill('45')
    await settled(tab)
    expect(await others()).toEqual(before)
  })

  it('says the answer before anything else, each finding and each curve once, and the cause of each stage on a phone', async () => {
    const { tab } = await open(page)
    await tab.setViewportSize({ width: 360, height: 740 })
    const sections = await tab
      .locator('main > section')
      .evaluateAll((found) => found.map((each) => each.id || each.querySelector('h2')?.id))
    expect(sections.slice(0, 3)).toEqual(['glance', 'gap', 'equal-power'])
    const titles = await tab.locator('h1, h2, h3').allTextContents()
    expect(titles.filter((title, index) => titles.indexOf(title) !== index)).toEqual([])
    expect(await tab.locator('figure[id*=score-curve], figure[id*=sweep]').count()).toBe(0)
    expect((await tab.locator('.notes:visible').first().textContent())!).toMatch(
      /Burst .*cause unknown.*power limit/s,
    )
    const gapTexts = await tab.locator('#gap .narrow svg text').allTextContents()
    expect(gapTexts).toContain('−10 %')
  })

  it('says what is wrong with a number, with the bounds, and clears the result that is not of it', async () => {
    const { tab } = await open(page)
    const before = await state(tab)
    const tested = await tab.locator('#wi-sustainedW').inputValue()
    for (const wrong of ['-3', '45000']) {
      await tab.locator('#wi-sustainedW').fill(wrong)
      await settled(tab)
      expect(await textOf(tab, '#wi-problem')).toBe(`Expected 1 to 1000 W, got ${wrong} W.`)
      expect(await tab.locator('#wi-sustainedW').getAttribute('aria-invalid')).toBe('true')
      expect(await textOf(tab, '#wi-steady')).toBe('–')
      expect(await textOf(tab, '#wi-command')).toBe('')
    }
    await tab.locator('#wi-sustainedW').fill(tested)
    await settled(tab)
    expect((await state(tab)).steady).toBe(before.steady)
  })

  it('takes the limits of another machine of the test by one press', async () => {
    const { tab } = await open(page)
    const limits = () =>
      Promise.all(['sustainedW', 'burstW'].map((field) => tab.locator(`#wi-${field}`).inputValue()))
    await tab.locator('#wi-machine').selectOption('1')
    const others = await limits()
    await tab.locator('#wi-machine').selectOption('0')
    expect(await limits()).not.toEqual(others)
    await tab.getByRole('button', { name: 'As in Ibis 15' }).focus()
    await tab.keyboard.press('Enter')
    expect(await tab.locator('#wi-machine').inputValue()).toBe('0')
    expect(await limits()).toEqual(others)
  })

  it('gives an accessibility engine nothing to object to, light and dark, wide and on a phone, and fits it', async () => {
    const { tab } = await open(page)
    for (const details of await tab.locator('summary').all()) await details.click()
    await expectAccessible(tab)
  })

  it('switches to dark and prints light', async () => {
    const { tab } = await open(page)
    await expectSwitchesAndPrints(tab)
  })

  it('reads without scripts: every picture and table but the live one is there', async () => {
    const { tab, close } = await openTab(browser, page, { javaScriptEnabled: false })
    expect(await tab.locator('figure svg:visible').count()).toBeGreaterThanOrEqual(5)
    await close()
  })
})

const HOSTILE_MACHINE = `<script>window.owned=1</script>"'&`

/** A machine that ran twice in a short log, with names that mean harm wherever a sheet has one. */
async function hostileSheet(folder: string): Promise<string> {
  const rows = Array.from({ length: 260 }, (_, s) => `${s},${s < 20 ? 5 : s < 60 ? 90 : 45}`)
  await writeFile(join(folder, 'log.csv'), `time_s,power_w\n${rows.join('\n')}\n`)
  const file = join(folder, 'hostile.yaml')
  const sheet = {
    machine: HOSTILE_MACHINE,
    chip: '"><img src=x onerror="window.owned=2">',
    chassis: 'case',
    workload: {
      name: '</script><script>window.owned=3</script>',
      score: "<b onclick='x'>pts",
      better: 'higher',
    },
    trials: [
      {
        log: 'log.csv',
        runs: [
          { start: '20 s', end: '60 s', score: 100 },
          { start: '60 s', end: '160 s', score: 70 },
          { start: '160 s', end: '259 s', score: 71 },
        ],
      },
    ],
  }
  await writeFile(file, JSON.stringify(sheet))
  return file
}

/** A tab whose pages have a clock that can be put forward. */
async function openClocked(browser: Browser, file: string): Promise<OpenTab> {
  const opened = await openTab(browser, file)
  await opened.tab.clock.install()
  return opened
}

/** The summary is announced 350 ms after the last change, by the clock of the page, which is put forward. */
async function settled(tab: Page): Promise<void> {
  await tab.clock.runFor(500)
}

async function textOf(tab: Page, selector: string): Promise<string> {
  return (await tab.locator(selector).textContent()) ?? ''
}

async function figure(tab: Page, which: 'first' | 'steady') {
  return tab.locator(`#wi-${which}`).evaluate((element) => {
    const { value, dataset } = element as HTMLDataElement
    return { value: Number(value), low: Number(dataset.low), high: Number(dataset.high) }
  })
}

async function state(tab: Page) {
  const [first, steady] = [await figure(tab, 'first'), await figure(tab, 'steady')]
  return {
    first: first.value,
    steady: steady.value,
    path: await tab.locator('#wi-chart').innerHTML(),
    summary: await textOf(tab, '#wi-summary'),
    hash: await tab.evaluate(() => location.hash),
  }
}
