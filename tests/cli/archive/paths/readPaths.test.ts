import { chmodSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import picomatch from 'picomatch'
import { afterAll, describe, expect, it } from 'vitest'
import { readPaths } from '../../../../src/cli/archive/paths/readPaths.js'
import { makeArchive } from '../archive.js'

const { folder, write, link, path } = makeArchive()
for (const name of [
  'b.csv',
  'a.CSV',
  'ä.csv',
  'Z.tsv',
  'z10.log',
  'z9.log',
  'note.md',
  'sheet.yaml',
  '.hidden.csv',
])
  write(`archive/${name}`, '')
write('archive/deep/er/c.csv', '')
write('archive/.git/c.csv', '')
write('literal[1].csv', '')
write('empty/readme.md', '')
write('elsewhere/d.csv', '')
const TREE = [
  'a.csv',
  'deep/b.csv',
  'deep/er/c.csv',
  'deep/er/d.log',
  'deer/ar/c.csv',
  'other/a.csv',
  'z9.csv',
]
/** By itself, since links of the other lead everywhere. */
const tree = makeArchive()
for (const name of TREE) tree.write(name, '')
link('archive/link.csv', '../elsewhere/d.csv')
link('archive/dead.csv', 'nowhere.csv')
link('archive/deep/back', '../..')
link('archive/deep/self', '.')
link('archive/other', '../elsewhere')

const ENDINGS = ['.csv', '.tsv', '.log']
const names = (paths: readonly string[]) => paths.map((each) => each.slice(folder.length + 1))
const find = async (...words: string[]) => names((await readPaths(words.map(path), ENDINGS)).paths)

describe('a folder', () => {
  it('stands for its files of the wanted endings, sorted by code units, hidden ones and dead links left out', async () => {
    const found = (await find('archive')).filter((name) => !/deep|other/.test(name))
    expect(found).toEqual([
      'archive/Z.tsv',
      'archive/a.CSV',
      'archive/b.csv',
      'archive/link.csv',
      'archive/z10.log',
      'archive/z9.log',
      'archive/ä.csv',
    ])
  })

  it('is followed through links, each folder once, however links go in circles', async () => {
    const found = await find('archive')
    expect(found.filter((name) => name.endsWith('c.csv'))).toEqual(['archive/deep/er/c.csv'])
    expect(found.filter((name) => name.endsWith('/d.csv'))).toHaveLength(1)
    expect(new Set(found).size).toBe(found.length)
  })

  it('without such files is a fault, and the others are found all the same', async () => {
    const { paths, faults } = await readPaths([path('archive/deep/er'), path('elsewhere')], ['.yml'])
    expect(paths).toEqual([])
    expect(faults.map((fault) => fault.code)).toEqual(['folder-empty', 'folder-empty'])
    const mixed = await readPaths([path('empty'), path('elsewhere')], ENDINGS)
    expect(names(mixed.paths)).toEqual(['elsewhere/d.csv'])
    expect(mixed.faults.map((fault) => fault.details.where?.file)).toEqual([path('empty')])
  })
})

describe('a walk', () => {
  const looked = async (word: string, most?: number) => {
    let count = 0
    const found = await readPaths([word], ENDINGS, {
      ...(most === undefined ? {} : { most }),
      onLooked: () => {
        count += 1
      },
    })
    return { ...found, count }
  }

  it('that would look at more than the bound leaves the whole folder out, says so, and what to do', async () => {
    const all = await looked(path('archive'))
    expect(all.count).toBeGreaterThan(10)
    expect(all).toMatchObject(await looked(path('archive'), all.count))
    const { paths, faults, count } = await looked(path('archive'), all.count - 1)
    expect({ paths, count }).toEqual({ paths: [], count: all.count })
    expect(faults).toMatchObject([
      {
        code: 'folder-too-large',
        details: {
          where: { file: path('archive') },
          remedy: expect.stringMatching(/more closely.*--from-list/),
        },
      },
    ])
    expect(faults[0]!.message).toMatch(new RegExp(`more than ${all.count - 1} .*left out.*had come to /`))
  })

  it('that is too large leaves out its own word alone', async () => {
    const { paths, faults } = await readPaths([path('archive'), path('elsewhere')], ENDINGS, { most: 3 })
    expect(names(paths)).toEqual(['elsewhere/d.csv'])
    expect(faults.map((fault) => fault.code)).toEqual(['folder-too-large'])
  })

  it.skipIf(process.getuid?.() === 0)('tells a folder that cannot be read, and goes on', async () => {
    write('partly/a/x.csv', '')
    write('partly/b/x.csv', '')
    chmodSync(path('partly/a'), 0)
    const { paths, faults } = await readPaths([path('partly')], ENDINGS)
    chmodSync(path('partly/a'), 0o700)
    expect(names(paths)).toEqual(['partly/b/x.csv'])
    expect(faults).toMatchObject([
      { code: 'folder-not-readable', message: expect.stringContaining('EACCES') },
    ])
  })
})

// Linux has these everywhere: file systems of their own under /dev, and one that shows processes.
describe.skipIf(process.platform !== 'linux')('file systems', () => {
  const shared = mkdtempSync('/dev/shm/holdwatt-paths-')
  afterAll(() => rmSync(shared, { recursive: true, force: true }))
  writeFileSync(join(shared, 'a.csv'), '')
  const name = shared.slice('/dev/shm/'.length)
  link('linked/shared', shared)
  link('linked/processes', '/proc')

  it('below a folder are left out and told; what a word or a link names is not', async () => {
    expect(statSync('/dev').dev).not.toBe(statSync('/dev/shm').dev)
    const below = await readPaths(['/dev'], ENDINGS)
    expect(below.paths.filter((each) => each.startsWith('/dev/shm'))).toEqual([])
    expect(below.faults).toContainEqual(
      expect.objectContaining({
        code: 'folder-elsewhere',
        details: expect.objectContaining({ where: { file: '/dev/shm' } }),
      }),
    )
    for (const word of [shared, `/dev/*/${name}/*.csv`, `/dev/s*/${name.slice(0, -1)}*/**`]) {
      expect(await readPaths([word], ENDINGS)).toEqual({
        paths: [join(shared, 'a.csv')],
        named: false,
        faults: [],
      })
    }
    const deep = await readPaths([`/dev/**/${name}/*.csv`], ENDINGS)
    expect(deep.faults.map((fault) => fault.code)).toContain('folder-elsewhere')
    expect(names((await readPaths([path('linked')], ENDINGS)).paths)).toEqual(['linked/shared/a.csv'])
  })

  it('that show the state of the system are never entered: told when named, passed over below', async () => {
    for (const word of ['/proc', '/proc/self', '/sys', '/proc/**/*.csv']) {
      const { paths, faults } = await readPaths([word], ENDINGS)
      expect({ word, paths, codes: faults.map((fault) => fault.code) }).toEqual({
        word,
        paths: [],
        codes: ['folder-of-system'],
      })
    }
    const { faults } = await readPaths(['/{proc,sys}/*.csv'], ENDINGS)
    expect(faults.map((fault) => fault.code)).toEqual(['pattern-empty'])
  })
})

describe('a pattern', () => {
  it.each([
    '*.csv',
    '*/*.csv',
    '**/*.csv',
    '**',
    'deep/**/c.csv',
    'd*/*/c.csv',
    '{deep/er,other}/*.csv',
    '@(deep/er|none)/*.csv',
    '[dz]*/er/?.csv',
    'de[a-f]p/*/c.*',
    '!(z*).csv',
    'dee?/{er,ar}/*',
    '**/er/**',
  ])('finds what it matches among all files: %s', async (glob) => {
    const { paths } = await readPaths([tree.path(glob)], ENDINGS)
    const matches = picomatch(glob)
    expect(paths).toEqual(TREE.filter((name) => matches(name)).map(tree.path))
  })

  it('is matched by the tool itself', async () => {
    expect(await find('archive/z*.log')).toEqual(['archive/z10.log', 'archive/z9.log'])
    expect(await find('archive/**/c.csv')).toEqual(['archive/deep/er/c.csv'])
    expect(await find('archive/{b,ä}.csv')).toEqual(['archive/b.csv', 'archive/ä.csv'])
    expect(await find('arch*/deep/*/?.csv')).toEqual(['archive/deep/er/c.csv'])
  })

  it('adds nothing twice, and is not taken for one where a file of that very name is there', async () => {
    expect(await find('archive/b.csv', 'archive/*.csv')).toEqual([
      'archive/b.csv',
      'archive/link.csv',
      'archive/ä.csv',
    ])
    expect(await readPaths([path('literal[1].csv')], ENDINGS)).toEqual({
      paths: [path('literal[1].csv')],
      named: true,
      faults: [],
    })
  })

  it('that matches nothing is a fault', async () => {
    const { faults } = await readPaths([path('archive/*.xyz'), path('none/*.csv')], ENDINGS)
    expect(faults.map((fault) => fault.code)).toEqual(['pattern-empty', 'pattern-empty'])
  })
})

it('names of files are left as they are, there or not, twice or not', async () => {
  const words = ['x.csv', 'y.csv', 'x.csv']
  expect(await readPaths(words, ENDINGS)).toEqual({ paths: words, named: true, faults: [] })
})
