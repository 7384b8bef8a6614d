import { describe, expect, it } from 'vitest'
import { readPaths } from '../../../src/cli/fleet/readPaths.js'
import { makeArchive } from './archive.js'

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

describe('a pattern', () => {
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
