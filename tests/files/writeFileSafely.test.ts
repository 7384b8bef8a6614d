import { execFileSync } from 'node:child_process'
import {
  chmodSync,
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { writeFileSafely } from '../../src/files/writeFileSafely.js'
import { root } from '../cli/commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-write-safely-'))
const tiny = join(folder, 'tiny')
const isTiny = mountTiny()
afterAll(() => {
  if (isTiny) execFileSync('umount', [tiny])
  rmSync(folder, { recursive: true, force: true })
})
const at = (name: string) => join(folder, name)
const always = { mayReplace: async () => true }
const never = { mayReplace: async () => false }
const leftovers = (where = folder) => readdirSync(where).filter((name) => name.includes('partial'))

describe('writing a file safely', () => {
  it('writes it whole, and asks before it replaces one', async () => {
    await writeFileSafely(at('a'), 'one', never)
    expect(readFileSync(at('a'), 'utf8')).toBe('one')
    await expect(writeFileSafely(at('a'), 'two', never)).rejects.toMatchObject({ code: 'file-exists' })
    expect(readFileSync(at('a'), 'utf8')).toBe('one')
    await writeFileSafely(at('a'), 'two', always)
    expect(readFileSync(at('a'), 'utf8')).toBe('two')
    expect(leftovers()).toEqual([])
  })

  it('keeps the permissions of the file that it replaces', async () => {
    writeFileSync(at('private'), 'old')
    chmodSync(at('private'), 0o600)
    await writeFileSafely(at('private'), 'new', always)
    expect(statSync(at('private')).mode & 0o777).toBe(0o600)
  })

  it('lets one of many writers at once win whole, and keeps their temporary files apart', async () => {
    const texts = Array.from({ length: 12 }, (_, i) => `${i}:`.repeat(20_000))
    await Promise.all(texts.map((text) => writeFileSafely(at('many'), text, always).catch(() => undefined)))
    expect(texts).toContain(readFileSync(at('many'), 'utf8'))
    expect(leftovers()).toEqual([])
  })

  it('gives a new name to exactly one of many writers that may not replace', async () => {
    const results = await Promise.allSettled(
      Array.from({ length: 12 }, (_, i) => writeFileSafely(at('first'), String(i), never)),
    )
    expect(results.filter(({ status }) => status === 'fulfilled')).toHaveLength(1)
    for (const result of results) {
      if (result.status === 'rejected') expect(result.reason).toMatchObject({ code: 'file-exists' })
    }
    expect(leftovers()).toEqual([])
  })

  it('writes what a symbolic link points to and leaves the link', async () => {
    mkdirSync(at('far'))
    writeFileSync(at('far/real'), 'old')
    symlinkSync('far/real', at('link'))
    symlinkSync('link', at('link-to-link'))
    await writeFileSafely(at('link-to-link'), 'new', always)
    expect(readFileSync(at('far/real'), 'utf8')).toBe('new')
    expect([readlinkSync(at('link')), readlinkSync(at('link-to-link'))]).toEqual(['far/real', 'link'])
    await expect(writeFileSafely(at('link'), 'x', never)).rejects.toMatchObject({ code: 'file-exists' })
    symlinkSync('far/fresh', at('dangling'))
    await writeFileSafely(at('dangling'), 'made', never)
    expect(readFileSync(at('far/fresh'), 'utf8')).toBe('made')
    expect(lstatSync(at('dangling')).isSymbolicLink()).toBe(true)
    symlinkSync('round', at('round'))
    await expect(writeFileSafely(at('round'), 'x', always)).rejects.toMatchObject({
      code: 'file-not-writable',
      message: expect.stringContaining('circle'),
    })
    expect([...leftovers(), ...leftovers(at('far'))]).toEqual([])
  })

  it.each([
    ['a device', '/dev/null', 'a device or a pipe'],
    ['a folder', folder, 'it is a folder'],
    ['a place in no folder', join(folder, 'no', 'such'), 'its folder does not exist'],
    ['a place inside a file', join(folder, 'a', 'b'), 'not a folder'],
    ['a name that is too long', join(folder, 'n'.repeat(300)), 'its name is too long'],
  ])('refuses %s with a sentence, even when it may replace', async (_case, path, sentence) => {
    await expect(writeFileSafely(path, 'x', always)).rejects.toMatchObject({
      code: 'file-not-writable',
      message: expect.stringContaining(sentence),
      details: { where: { file: path }, remedy: expect.stringContaining('choose') },
    })
    expect(leftovers()).toEqual([])
  })

  it('writes a name that is as long as names may be', async () => {
    const name = 'n'.repeat(255)
    await writeFileSafely(at(name), 'long', never)
    expect(readFileSync(at(name), 'utf8')).toBe('long')
  })

  it.skipIf(!isTiny)('leaves the old file whole on a full disk, and no temporary one', async () => {
    const path = join(tiny, 'model')
    await writeFileSafely(path, 'old', always)
    await expect(writeFileSafely(path, 'x'.repeat(200_000), always)).rejects.toMatchObject({
      code: 'file-not-writable',
      message: expect.stringContaining('the disk is full'),
      details: { remedy: expect.stringContaining('make room') },
    })
    expect(readFileSync(path, 'utf8')).toBe('old')
    await expect(writeFileSafely(join(tiny, 'new'), 'x'.repeat(200_000), never)).rejects.toThrow('full')
    expect(readdirSync(tiny)).toEqual(['model'])
  })
})

describe('the built command on a disk that takes no more', () => {
  // A limit on the size of files is a full disk that needs no permission: writes fail half way.
  const limited = (line: string) => {
    try {
      const out = execFileSync(
        'sh',
        ['-c', `ulimit -f 8; exec "$0" dist/cli/main.cjs ${line}`, process.execPath],
        {
          cwd: root,
          stdio: 'pipe',
          encoding: 'utf8',
        },
      )
      return { status: 0, out, err: '' }
    } catch (error) {
      const { status, stdout, stderr } = error as { status: number; stdout: string; stderr: string }
      return { status, out: stdout, err: stderr }
    }
  }

  it.each([
    ['a model', 'old.json', (path: string) => `fit samples/bittern-noted.yaml --force --chip ${path}`],
    ['a page', 'old.html', (path: string) => `page samples/bittern-noted.yaml --force --out ${path}`],
  ])(
    'keeps the old file of %s, ends with 2 and says so in one sentence',
    (_case, name, line) => {
      writeFileSync(at(name), 'precious')
      const { status, out, err } = limited(line(at(name)))
      expect({ status, out }).toEqual({ status: 2, out: '' })
      expect(err).toMatch(
        /^\S+old\.\w+: this file cannot be written: it is larger than a file may be here\n {2}make room/,
      )
      expect(readFileSync(at(name), 'utf8')).toBe('precious')
      expect(leftovers()).toEqual([])
    },
    30_000,
  )
})

/** A disk of 64 KiB, where this user may mount one. */
function mountTiny(): boolean {
  try {
    mkdirSync(tiny)
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=64k', 'holdwatt-test', tiny], { stdio: 'ignore' })
    return existsSync(tiny)
  } catch {
    return false
  }
}
