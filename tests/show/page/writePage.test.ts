import { readdirSync } from 'node:fs'
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { platform, tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { Resvg } from '@resvg/resvg-js'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
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
    // A folder of its own: another process may write fonts meanwhile.
    vi.stubEnv('TMPDIR', folder)
    const before = await fontFolders()
    await writeCharts([gapChart(gap()), gapChart({ ...gap(), name: 'second' })], {
      ...options('c'),
      onProgress: (count) => {
        done.push(count)
        // A process that is ended here leaves none behind either.
        if (platform() === 'linux') expect(fontFoldersNow()).toEqual(before)
      },
    })
    expect(done).toEqual([1, 2])
    expect(await fontFolders()).toEqual(before)
    vi.unstubAllEnvs()
  })

  it('replaces its own picture, but not a picture that somebody else put there', async () => {
    await writeCharts([gapChart(gap())], options('a'))
    await writeFile(join(folder, 'a', 'gap.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>')
    await expect(writeCharts([gapChart(gap())], options('a'))).rejects.toMatchObject({ code: 'file-exists' })
    await writeCharts([gapChart(gap())], { ...options('a'), force: true })
    expect(await readFile(join(folder, 'a', 'gap.svg'), 'utf8')).toContain('data-made-by="holdwatt"')
    const png = new Resvg('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>').render().asPng()
    await writeFile(join(folder, 'a', 'gap.png'), png)
    await expect(writeCharts([gapChart(gap())], options('a'))).rejects.toMatchObject({ code: 'file-exists' })
    expect((await readFile(join(folder, 'a', 'gap.png'))).equals(png)).toBe(true)
  })

  it('writes pictures whose mark is a chunk with a right checksum', async () => {
    await writeCharts([gapChart(gap())], options('d'))
    const png = await readFile(join(folder, 'd', 'gap.png'))
    const at = png.indexOf('tEXt')
    const length = png.readUInt32BE(at - 4)
    expect(png.toString('latin1', at + 4, at + 4 + length)).toBe('Software\0holdwatt')
    const body = png.subarray(at, at + 4 + length)
    expect(png.readUInt32BE(at + 4 + length)).toBe(Number(`0x${crcOf(body)}`))
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

function fontFoldersNow(): string[] {
  return readdirSync(tmpdir())
    .filter((name) => name.startsWith('holdwatt-fonts-'))
    .sort()
}

/** The checksum as gzip keeps it at the end of its output (RFC 1952, section 2.3.1): of the same polynomial. */
function crcOf(bytes: Uint8Array): string {
  return gzipSync(bytes).subarray(-8, -4).reverse().toString('hex')
}
