import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Resvg } from '@resvg/resvg-js'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { gapChart } from '../../../src/show/charts/chartGap.js'
import { writeCharts, writePage } from '../../../src/show/page/writePage.js'
import { gap } from '../chartFixture.js'

describe('writing pictures and pages', () => {
  let folder: string
  const options = (name: string) => ({
    folder: join(folder, name),
    widthPx: 800,
    dark: false,
    force: false,
    onProgress: () => {},
  })

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'holdwatt-write-'))
  })

  afterAll(async () => {
    await rm(folder, { recursive: true, force: true })
  })

  it('draws the text of a PNG in the packaged font, so that a bare machine draws the same', async () => {
    await writeCharts([gapChart(gap())], options('a'))
    const svg = await readFile(join(folder, 'a', 'gap.svg'), 'utf8')
    const png = await readFile(join(folder, 'a', 'gap.png'))
    const withoutText = svg.replace(/<text[^>]*>[^<]*<\/text>/g, '')
    const blank = new Resvg(withoutText, { fitTo: { mode: 'width', value: 800 } }).render().asPng()
    const system = new Resvg(svg, { fitTo: { mode: 'width', value: 800 } }).render().asPng()
    expect(png.equals(blank)).toBe(false)
    expect(png.equals(system)).toBe(false)
    await writeCharts([gapChart(gap())], options('b'))
    expect((await readFile(join(folder, 'b', 'gap.png'))).equals(png)).toBe(true)
  })

  it('tells its progress and leaves no temporary font behind', async () => {
    const done: number[] = []
    const before = await fontFolders()
    await writeCharts([gapChart(gap()), gapChart({ ...gap(), name: 'second' })], {
      ...options('c'),
      onProgress: (count) => done.push(count),
    })
    expect(done).toEqual([1, 2])
    expect(await fontFolders()).toEqual(before)
  })

  it('replaces its own picture, but not a picture that somebody else put there', async () => {
    await writeCharts([gapChart(gap())], options('a'))
    await writeFile(join(folder, 'a', 'gap.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>')
    await expect(writeCharts([gapChart(gap())], options('a'))).rejects.toMatchObject({ code: 'file-exists' })
    await writeCharts([gapChart(gap())], { ...options('a'), force: true })
    expect(await readFile(join(folder, 'a', 'gap.svg'), 'utf8')).toContain('data-made-by="holdwatt"')
  })

  it('says so when a file stands where the folder of the pictures should be', async () => {
    await writeFile(join(folder, 'taken'), 'a file')
    await expect(writeCharts([gapChart(gap())], options('taken'))).rejects.toMatchObject({
      code: 'file-not-writable',
      message: 'expected a folder, got a file',
    })
  })

  it('replaces a page of this tool and nothing else', async () => {
    const path = join(folder, 'page.html')
    const page = '<!doctype html><meta name="generator" content="holdwatt 1.0.0">'
    await writePage(path, page, { force: false })
    await writePage(path, `${page} again`, { force: false })
    expect(await readFile(path, 'utf8')).toBe(`${page} again`)
    await writeFile(path, 'notes')
    await expect(writePage(path, page, { force: false })).rejects.toMatchObject({ code: 'file-exists' })
    await writePage(path, page, { force: true })
    expect(await readFile(path, 'utf8')).toBe(page)
  })
})

async function fontFolders(): Promise<string[]> {
  return (await readdir(tmpdir())).filter((name) => name.startsWith('holdwatt-fonts-')).sort()
}
