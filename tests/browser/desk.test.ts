import { spawnSync } from 'node:child_process'
import { mkdir, readFile, stat, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { Locator } from 'playwright-core'
import { expect, it } from 'vitest'
import { readStages } from '../../src/machine/readStages.js'
import { sayInterval, sayValue } from '../../src/show/figures/sayEstimate.js'
import { builtDesk, describeDesk } from './describeDesk.js'
import { expectAccessible } from './findAxeProblems.js'
import { drawn, giveFiles, sample, textFile } from './openDesk.js'

const LOOP = sample('heron-loop.csv')
const COMPILE = sample('ibis-compile.tsv')
/** Read at once. */
const SHORT = textFile(
  'short.csv',
  `time_s,power_w\n${Array.from({ length: 400 }, (_, i) => `${i},${i < 20 ? 5 : i < 60 ? 90 : 45}`).join('\n')}\n`,
)

describeDesk('desk.test.ts', 'the desk in a browser', (given) => {
  it('is one file of at most 2.6 MB', async () => {
    expect((await stat(builtDesk)).size).toBeLessThan(2_600_000)
  })

  it('shows every stage with the figures of the library, asks for nothing and says nothing on the console', async () => {
    const { tab, requests, messages } = await given.cleared()
    const names = ['heron-loop.csv', 'ibis-compile.tsv', 'bittern-compile.csv']
    await giveFiles(tab, names.map(sample))
    await drawn(tab, names.length)
    for (const name of names) {
      const { loads } = await readStages(sample(name))
      const wanted = loads.flatMap((load) =>
        load.stages.map(({ label, levelW }) => [label, sayValue(levelW, 'W'), sayInterval(levelW)]),
      )
      expect(await stageRows(tab.locator('.card', { hasText: name })), name).toEqual(wanted)
    }
    expect({ requests, messages }).toEqual({ requests: [], messages: [] })
  })

  it('takes files that are dropped', async () => {
    const { tab } = await given.cleared()
    await tab.evaluate(() => {
      const transfer = new DataTransfer()
      const rows = Array.from({ length: 400 }, (_, i) => `${i},${i < 20 ? 5 : i < 60 ? 90 : 45}`)
      transfer.items.add(new File([`time_s,power_w\n${rows.join('\n')}\n`], 'dropped.csv'))
      dispatchEvent(new DragEvent('drop', { dataTransfer: transfer, cancelable: true }))
    })
    await drawn(tab, 1)
    expect(await tab.locator('.card .file').textContent()).toBe('dropped.csv')
  })

  it('takes folders that are dropped beside files, and tells an empty one', async () => {
    const { tab, context } = await given.cleared()
    const [tests, pictures] = [join(given.folder, 'tests'), join(given.folder, 'pictures')]
    await mkdir(join(tests, 'inner'), { recursive: true })
    await mkdir(pictures, { recursive: true })
    await writeFile(join(tests, 'inner', 'short.csv'), SHORT.buffer)
    await writeFile(join(tests, 'photo.png'), 'x')
    const files = [tests, pictures, COMPILE]
    const cdp = await context.newCDPSession(tab)
    for (const type of ['dragEnter', 'dragOver', 'drop'] as const) {
      const data = { items: [], files, dragOperationsMask: 1 }
      await cdp.send('Input.dispatchDragEvent', { type, x: 200, y: 200, data })
    }
    await drawn(tab, 2)
    expect(await tab.locator('.card .file').allTextContents()).toEqual(['short.csv', 'ibis-compile.tsv'])
    expect(await tab.locator('.problem').allTextContents()).toEqual([
      expect.stringMatching(/^pictures: expected logs or sheets in the folder, got none/),
    ])
  })

  it('tells each of many hostile files in a clear line and goes on', async () => {
    const { tab, messages } = await given.cleared()
    for (const [name, content] of HOSTILE) {
      await giveFiles(tab, [textFile(name, content)])
      const problem = tab.locator('.card .problem', { hasText: name })
      await problem.waitFor({ timeout: 20_000 })
      expect(await problem.textContent()).toMatch(new RegExp(`^${name}.*\\w+`))
    }
    await giveFiles(tab, [SHORT])
    await drawn(tab, 1)
    expect(messages).toEqual([])
  })

  it('tells a broken sheet, a missing log and a desk of a newer version in a clear line each', async () => {
    const { tab, messages } = await given.cleared()
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
  })

  it('is opened by `npm run desk` as it was built', async () => {
    // Without a program that opens files, it says where the desk is.
    const { stdout } = spawnSync(process.execPath, ['src/build.mjs', 'desk'], {
      env: { ...process.env, PATH: '' },
      encoding: 'utf8',
    })
    const [, built] = /^open this in a browser: (.*desk\.html)$/m.exec(stdout)!
    // Every test here opens that file.
    expect(built).toBe(builtDesk)
  })

  it('shows hostile names as text and runs nothing of them', async () => {
    const name = `<img src=x onerror="owned=1">.csv`
    const rows = Array.from({ length: 400 }, (_, i) => `${i},${i < 20 ? 5 : 45}`).join('\n')
    const header = `"<script>owned=2</script> time [s]","power </text><script>owned=3</script> [W]"`
    const { tab, messages } = await given.cleared()
    await giveFiles(tab, [textFile(name, `${header}\n${rows}`)])
    await drawn(tab, 1)
    expect(await tab.locator('.card .file').textContent()).toBe(name)
    expect(await tab.evaluate(() => ({ owned: 'owned' in window, images: document.images.length }))).toEqual({
      owned: false,
      images: 0,
    })
    expect(messages).toEqual([])
  })

  it('looks closer by keys, wheel and drag, and shows the whole log again', async () => {
    const { tab } = await given.cleared()
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
    await expect.poll(shown).not.toBe(whole)
    const wheeled = await shown()
    await tab.mouse.down()
    await tab.mouse.move(box.x + box.width / 2 - 200, box.y + 100, { steps: 4 })
    await tab.mouse.up()
    expect(await shown()).not.toBe(wheeled)
    await tab.getByRole('button', { name: 'Whole log' }).click()
    expect(await shown()).toBe(whole)
  })

  it('undoes and does again', async () => {
    const { tab } = await given.cleared()
    await giveFiles(tab, [SHORT])
    await drawn(tab, 1)
    await tab.getByRole('button', { name: 'Undo' }).click()
    expect(await tab.locator('.card').count()).toBe(0)
    await tab.getByRole('button', { name: 'Redo' }).click()
    await drawn(tab, 1)
  })

  it('gives an accessibility engine nothing to object to, light and dark, wide and on a phone', async () => {
    const { tab } = await given.cleared()
    await expectAccessible(tab)
    await giveFiles(tab, [COMPILE])
    await drawn(tab, 1)
    await giveFiles(tab, [textFile('prose.csv', 'no watts here')])
    await tab.locator('.card .problem').waitFor()
    for (const details of await tab.locator('summary').all()) await details.click()
    await expectAccessible(tab)
  })
})

const HOSTILE: readonly (readonly [string, string | Buffer])[] = [
  ['empty.csv', ''],
  ['noise.csv', Buffer.from(Array.from({ length: 20_000 }, (_, i) => (i * 7919 + (i >> 3)) & 255))],
  ['zeros.csv', Buffer.alloc(300_000)],
  ['prose.csv', 'This is a letter.\nIt has lines, but no watts.\n'.repeat(50)],
  ['endless-line.csv', 'a,'.repeat(3_000_000)],
  ['endless-quote.csv', `time_s,power_w\n"${'1,2\n'.repeat(300_000)}`],
]

/** Label, mean power and interval of each stage that a card of the desk shows. */
async function stageRows(card: Locator): Promise<string[][]> {
  const rows = await card.locator('table.loads tbody tr:not(.settles):not(.load-head)').all()
  return Promise.all(
    rows.map(async (row) => {
      const cells = await row.locator('th,td').allTextContents()
      return [cells[0]!, cells[3]!, cells[4]!]
    }),
  )
}
