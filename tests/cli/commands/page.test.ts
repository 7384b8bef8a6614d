import { existsSync } from 'node:fs'
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { runInside } from '../commandLine.js'

const [HERON, NOTED] = ['heron', 'bittern-noted'].map((name) =>
  fileURLToPath(new URL(`../../../samples/${name}.yaml`, import.meta.url)),
) as [string, string]

const run = (...words: string[]) => runInside(['page', ...words])

// The page carries the what-if as the build bundles it; without a build there is nothing to carry.
const isBuilt = existsSync(fileURLToPath(new URL('../../../dist/page/whatIf.js', import.meta.url)))
if (!isBuilt)
  process.stderr.write('\nLeft out: tests/cli/commands/page.test.ts (run `npm run build` first)\n')

describe.skipIf(!isBuilt)('holdwatt page', () => {
  let folder: string
  const inside = (name: string) => join(folder, name)

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-report-'))
  })

  afterAll(async () => {
    await rm(folder, { recursive: true, force: true })
  })

  it('writes the page and every chart as SVG and PNG of the width asked for, and names what it wrote', async () => {
    const { status, stdout, stderr } = await run(
      HERON,
      '--out',
      inside('a.html'),
      '--charts',
      inside('pictures'),
      '--width',
      '640',
    )
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' })
    const pictures = (await readdir(inside('pictures'))).sort()
    expect(pictures).toEqual([
      'charts.html',
      'charts.md',
      'heron-14-opening.png',
      'heron-14-opening.svg',
      'heron-14-score-curve.png',
      'heron-14-score-curve.svg',
      'heron-14-sweep.png',
      'heron-14-sweep.svg',
      'heron-14-trace.png',
      'heron-14-trace.svg',
    ])
    expect(stdout.split('\n').filter((line) => /\.(html|svg|png)$/.test(line))).toHaveLength(10)
    for (const name of pictures.filter((picture) => picture.endsWith('.png'))) {
      const png = await readFile(inside(`pictures/${name}`))
      expect(png.subarray(1, 4).toString()).toBe('PNG')
      // Width, the first field of the IHDR chunk (PNG specification, 11.2.2).
      expect(png.readUInt32BE(16)).toBe(640)
    }
    const page = await readFile(inside('a.html'), 'utf8')
    expect(page.includes('default-src &#39;none&#39;')).toBe(true)
    expect(/(?:src|href)="(?:https?:)?\/\//.test(page)).toBe(false)
    expect(page.length).toBeLessThan(1_000_000)
    // No folder of the disk that it was made on is published.
    expect(page).not.toContain(folder)
    expect(page).not.toContain(dirname(HERON))
    expect(page).toContain('heron.yaml')
    // The checksums of the files that the page was made from stand in it.
    expect(/heron\.yaml<\/th>.*<code>[0-9a-f]{64}<\/code>/.test(page)).toBe(true)
  })

  it('writes a box of the method to paste under an article, in the form that the file’s name asks for', async () => {
    // Two of the three of a quick sheet: levels that were noted, without a log.
    for (const [name, sheet] of [
      ['method.md', HERON],
      ['method.html', NOTED],
      ['method.txt', NOTED],
    ] as const) {
      const { status } = await run(sheet, '--out', inside('m.html'), '--method', inside(name))
      expect(status).toBe(0)
    }
    const [markdown, fragment, text] = await Promise.all(
      ['method.md', 'method.html', 'method.txt'].map((name) => readFile(inside(name), 'utf8')),
    )
    for (const [form, sheet, files, runs] of [
      [markdown!, 'heron', 2, 26],
      [fragment!, 'bittern-noted', 1, 2],
      [text!, 'bittern-noted', 1, 2],
    ] as const) {
      expect(form.match(/\b[0-9a-f]{64}\b/g)).toHaveLength(files)
      expect(form).toMatch(new RegExp(`${runs} scored runs`))
      expect(form).toMatch(new RegExp(`holdwatt page ${sheet}\\.yaml`))
      expect(form).not.toContain(folder)
    }
    expect(markdown).toMatch(/^\*\*How these figures were made\*\*/)
    expect(fragment).toMatch(/^<aside>/)
    expect(text).not.toMatch(/[<`*]/)
    const page = await readFile(inside('a.html'), 'utf8')
    expect(page).toContain('A box to paste under an article')
    await writeFile(inside('mine.md'), 'my own words')
    expect((await run(NOTED, '--out', inside('m.html'), '--method', inside('mine.md'))).status).toBe(2)
  })

  it('gives every chart a figure with its alternative text, ready to paste', async () => {
    const [markdown, fragment] = await Promise.all(
      ['charts.md', 'charts.html'].map((name) => readFile(inside(`pictures/${name}`), 'utf8')),
    )
    expect(markdown!.match(/^!\[.{40,}\]\(heron-14-[a-z-]+\.png\)$/gm)).toHaveLength(4)
    expect(fragment!.match(/<img src="heron-14-[a-z-]+\.svg" alt="[^"]{40,}">/g)).toHaveLength(4)
  })

  it('tells what it wrote as one JSON document', async () => {
    const { stdout } = await run(NOTED, '--out', inside('j.html'), '--json')
    const document = JSON.parse(stdout) as Record<string, unknown>
    expect(document).toMatchObject({
      tool: 'holdwatt',
      command: 'page',
      page: inside('j.html'),
      charts: [],
    })
    expect(document.inputs).toHaveLength(1)
  })

  it('makes the same page again, and replaces its own but not another’s', async () => {
    const first = await readFile(inside('a.html'), 'utf8')
    expect((await run(HERON, '--out', inside('a.html'))).status).toBe(0)
    expect((await readFile(inside('a.html'), 'utf8')) === first).toBe(true)
    await writeFile(inside('mine.html'), '<p>my own page</p>')
    const refused = await run(NOTED, '--out', inside('mine.html'))
    expect(refused.status).toBe(2)
    expect(refused.stderr).toMatch(/mine\.html.*exists already/)
    expect(await readFile(inside('mine.html'), 'utf8')).toBe('<p>my own page</p>')
    expect((await run(NOTED, '--out', inside('mine.html'), '--force')).status).toBe(0)
    expect((await readdir(folder)).filter((name) => name.endsWith('.partial'))).toEqual([])
  })

  it.each([[['--width', '12']], [['--out', '/nowhere/at/all/page.html']], [['nothing-there.yaml']]])(
    'ends with 2 and says why: %s',
    async (words) => {
      const { status, stderr } = await run(NOTED, '--out', inside('b.html'), ...words)
      expect(status).toBe(2)
      expect(stderr.length).toBeGreaterThan(20)
    },
  )
})
