import { spawnSync } from 'node:child_process'
import { readFile, stat } from 'node:fs/promises'
import type { Page } from 'playwright-core'
import { expect, it } from 'vitest'
import { readStages } from '../../src/machine/readStages.js'
import { sayInterval, sayValue } from '../../src/show/text/sayEstimate.js'
import { describeDesk } from './describeDesk.js'
import { findAxeProblems } from './findAxeProblems.js'
import { drawn, giveFiles, sample, textFile } from './openDesk.js'

const LOOP = sample('heron-loop.csv')
const COMPILE = sample('ibis-compile.tsv')

describeDesk('desk.test.ts', 'the desk in a browser', (given) => {
  it('is one file of at most 2.5 MB', async () => {
    expect((await stat(given.desk)).size).toBeLessThan(2_500_000)
  })

  it('reads logs with the network cut, asks for nothing and says nothing on the console', async () => {
    const { tab, requests, messages, close } = await given.open()
    await giveFiles(tab, [LOOP, COMPILE])
    await drawn(tab, 2)
    expect(requests).toEqual([])
    expect(messages).toEqual([])
    await close()
  })

  it.each(['heron-loop.csv', 'ibis-compile.tsv', 'bittern-compile.csv'])(
    'shows every stage of %s with the figures of the library',
    async (name) => {
      const { tab, close } = await given.open()
      await giveFiles(tab, [sample(name)])
      await drawn(tab, 1)
      const { loads } = await readStages(sample(name))
      const wanted = loads.flatMap((load) =>
        load.stages.map(({ label, levelW }) => [label, sayValue(levelW, 'W'), sayInterval(levelW)]),
      )
      expect(await stageRows(tab)).toEqual(wanted)
      await close()
    },
  )

  it('takes files that are dropped', async () => {
    const { tab, close } = await given.open()
    await tab.evaluate(() => {
      const transfer = new DataTransfer()
      const rows = Array.from({ length: 400 }, (_, i) => `${i},${i < 20 ? 5 : i < 60 ? 90 : 45}`)
      transfer.items.add(new File([`time_s,power_w\n${rows.join('\n')}\n`], 'dropped.csv'))
      dispatchEvent(new DragEvent('drop', { dataTransfer: transfer, cancelable: true }))
    })
    await drawn(tab, 1)
    expect(await tab.locator('.card .file').textContent()).toBe('dropped.csv')
    await close()
  })

  it.each([
    ['an empty file', ''],
    ['noise', Buffer.from(Array.from({ length: 20_000 }, (_, i) => (i * 7919 + (i >> 3)) & 255))],
    ['zeros', Buffer.alloc(300_000)],
    ['prose', 'This is a letter.\nIt has lines, but no watts.\n'.repeat(50)],
    ['one endless line', 'a,'.repeat(3_000_000)],
    ['a quote that never ends', `time_s,power_w\n"${'1,2\n'.repeat(300_000)}`],
  ])('tells %s in a clear line and goes on', async (_what, content) => {
    const { tab, messages, close } = await given.open()
    await giveFiles(tab, [textFile('hostile.csv', content as string)])
    const problem = tab.locator('.card .problem')
    await problem.waitFor({ timeout: 20_000 })
    expect(await problem.textContent()).toMatch(/^hostile\.csv.*\w+/)
    await giveFiles(tab, [LOOP])
    await drawn(tab, 1)
    expect(messages).toEqual([])
    await close()
  })

  it('tells a broken sheet, a missing log and a desk of a newer version in a clear line each', async () => {
    const { tab, messages, close } = await given.open()
    const problems = () => tab.locator('.problem').allTextContents()
    const sheet = await readFile(sample('heron.yaml'), 'utf8')
    await giveFiles(tab, [textFile('broken.yaml', 'machine: [\n')])
    await expect.poll(problems).toEqual([expect.stringMatching(/^broken\.yaml, line 2: .*YAML/)])
    await giveFiles(tab, [textFile('heron.yaml', sheet)])
    await expect.poll(problems).toContainEqual(expect.stringMatching(/^heron\.yaml: .*not on the desk/))
    const newer = { format: 'holdwatt-desk', version: 99, desk: { logs: [], sheets: [] }, files: {} }
    await giveFiles(tab, [textFile('later.json', JSON.stringify(newer))])
    await expect.poll(problems).toContainEqual(expect.stringMatching(/newer holdwatt desk/))
    expect(messages).toEqual([])
    await close()
  })

  it('is opened by `npm run desk` as it was built', async () => {
    // Without a program that opens files, it says where the desk is.
    const { stdout } = spawnSync(process.execPath, ['src/build.mjs', 'desk'], {
      env: { ...process.env, PATH: '' },
      encoding: 'utf8',
    })
    const [, built] = /^open this in a browser: (.*desk\.html)$/m.exec(stdout)!
    const { tab, messages, close } = await given.open({}, built!)
    await giveFiles(tab, [COMPILE])
    await drawn(tab, 1)
    expect(messages).toEqual([])
    await close()
  })

  it('shows hostile names as text and runs nothing of them', async () => {
    const name = `<img src=x onerror="owned=1">.csv`
    const rows = Array.from({ length: 400 }, (_, i) => `${i},${i < 20 ? 5 : 45}`).join('\n')
    const header = `"<script>owned=2</script> time [s]","power </text><script>owned=3</script> [W]"`
    const { tab, messages, close } = await given.open()
    await giveFiles(tab, [textFile(name, `${header}\n${rows}`)])
    await drawn(tab, 1)
    expect(await tab.locator('.card .file').textContent()).toBe(name)
    expect(await tab.evaluate(() => ({ owned: 'owned' in window, images: document.images.length }))).toEqual({
      owned: false,
      images: 0,
    })
    expect(messages).toEqual([])
    await close()
  })

  it('looks closer by keys, wheel and drag, and shows the whole log again', async () => {
    const { tab, close } = await given.open()
    await giveFiles(tab, [LOOP])
    await drawn(tab, 1)
    const chart = tab.locator('.zoomable')
    const shown = () => chart.getAttribute('aria-label')
    const whole = await shown()
    await chart.focus()
    await tab.keyboard.press('+')
    const closer = await shown()
    expect(closer).not.toBe(whole)
    await tab.keyboard.press('ArrowRight')
    expect(await shown()).not.toBe(closer)
    await tab.keyboard.press('0')
    expect(await shown()).toBe(whole)
    const box = (await chart.boundingBox())!
    await tab.mouse.move(box.x + box.width / 2, box.y + 100)
    await tab.mouse.wheel(0, -300)
    await tab.waitForTimeout(100)
    const wheeled = await shown()
    expect(wheeled).not.toBe(whole)
    await tab.mouse.down()
    await tab.mouse.move(box.x + box.width / 2 - 200, box.y + 100, { steps: 4 })
    await tab.mouse.up()
    expect(await shown()).not.toBe(wheeled)
    await tab.getByRole('button', { name: 'Whole log' }).click()
    expect(await shown()).toBe(whole)
    await close()
  })

  it('undoes and does again', async () => {
    const { tab, close } = await given.open()
    await giveFiles(tab, [LOOP])
    await drawn(tab, 1)
    await tab.getByRole('button', { name: 'Undo' }).click()
    expect(await tab.locator('.card').count()).toBe(0)
    await tab.getByRole('button', { name: 'Redo' }).click()
    await drawn(tab, 1)
    await close()
  })

  it.each([
    ['light', { colorScheme: 'light', viewport: { width: 1280, height: 900 } }],
    ['dark', { colorScheme: 'dark', viewport: { width: 1920, height: 1080 } }],
    ['a phone of 360 px', { colorScheme: 'light', viewport: { width: 360, height: 740 } }],
    ['a dark phone of 360 px', { colorScheme: 'dark', viewport: { width: 360, height: 740 } }],
  ] as const)('gives an accessibility engine nothing to object to: %s', async (_name, options) => {
    const { tab, close } = await given.open(options)
    expect(await findAxeProblems(tab)).toEqual([])
    await giveFiles(tab, [COMPILE])
    await drawn(tab, 1)
    await giveFiles(tab, [textFile('prose.csv', 'no watts here')])
    await tab.locator('.card .problem').waitFor()
    for (const details of await tab.locator('summary').all()) await details.click()
    expect(await findAxeProblems(tab)).toEqual([])
    expect(await tab.evaluate(() => document.documentElement.scrollWidth)).toBe(options.viewport.width)
    await close()
  })
})

/** Label, mean power and interval of each stage that the desk shows. */
async function stageRows(tab: Page): Promise<string[][]> {
  const rows = await tab.locator('table.loads tbody tr:not(.settles):not(.load-head)').all()
  return Promise.all(
    rows.map(async (row) => {
      const cells = await row.locator('th,td').allTextContents()
      return [cells[0]!, cells[3]!, cells[4]!]
    }),
  )
}
