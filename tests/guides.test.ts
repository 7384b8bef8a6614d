import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'

// What the READMEs and guides cite must be there: paths, links, names of code, codes of findings.

const FOLDERS = ['src', 'tests', 'samples', 'models']
const all = FOLDERS.flatMap((folder) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((path) => `${folder}/${path}`),
)
const pages = ['README.md', 'DEVELOPERS.md', ...all.filter((path) => path.endsWith('.md'))]
const code = all
  .filter((path) => /\.(ts|mjs)$/.test(path))
  .map((path) => readFileSync(path, 'utf8'))
  .join('\n')
const rooms = readdirSync('src').filter((name) => statSync(join('src', name)).isDirectory())

/** Text between backticks, outside fenced blocks. */
function citedIn(page: string): readonly string[] {
  const text = readFileSync(page, 'utf8').replaceAll(/^```[\s\S]*?^```/gm, '')
  return [...text.matchAll(/`([^`\n]+)`/g)].map((match) => match[1]!)
}

/** Folders from which a page's paths may be told: its own, the top, and for some pages another. */
function isThere(path: string, page: string): boolean {
  const alsoFrom = ALSO_FROM.find(([begin]) => page.startsWith(begin))?.[1] ?? '.'
  return [dirname(page), '.', alsoFrom].some((folder) => existsSync(join(folder, path)))
}

const ALSO_FROM = [
  ['DEVELOPERS.md', 'src'],
  ['README.md', 'samples'],
  ['samples/guides', 'samples'],
  ['models', 'samples'],
  ['tests/mutation', 'src'],
] as const

const PATH = /^(\.\.?\/)?[\w-]+(\/[\w.-]+)*\.(ts|mjs|md|json|yaml|csv|tsv|svg)$/
const FOLDER = /^(\.\.\/)?(src|tests|samples|models)(\/[\w.-]+)+$/
/** Files that a reader of a guide makes, or that belong to others. */
const NOT_OURS = /^(package(-lock)?|charts|method|run|power-.*|plover.*|scores|.*NAME)\.\w+$|\.jsonl$/

describe('each page beside the code', () => {
  it.each(pages)('%s cites files that are there', (page) => {
    const cited = citedIn(page).filter(
      (text) => (PATH.test(text) || FOLDER.test(text)) && !NOT_OURS.test(text),
    )
    expect(cited.filter((path) => !isThere(path, page))).toEqual([])
  })

  it.each(pages)('%s links to pages that are there', (page) => {
    const text = readFileSync(page, 'utf8')
    const links = [...text.matchAll(/\]\((?!https?:|#)([^)#\s]+)/g)].map((match) => match[1]!)
    expect(links.filter((path) => !existsSync(join(dirname(page), path)))).toEqual([])
  })

  it.each(pages.filter((page) => page.startsWith('src/')))('%s names code that is there', (page) => {
    const names = citedIn(page).filter((text) => /^[a-z]+[A-Z]\w*$/.test(text))
    expect(names.filter((name) => !new RegExp(`\\b${name}\\b`).test(code))).toEqual([])
  })
})

describe('the guides of developers', () => {
  it.each(rooms)('have a page for the room %s', (room) => {
    expect(existsSync(join('src', room, 'README.md'))).toBe(true)
  })

  it('fit in 8 KB where they begin', () => {
    expect(statSync('DEVELOPERS.md').size).toBeLessThanOrEqual(8192)
  })

  it('list every finding of the audit', () => {
    const page = readFileSync('src/audit/README.md', 'utf8')
    const codes = readdirSync('src/audit')
      .filter((name) => name.endsWith('.ts'))
      .flatMap((name) => [...readFileSync(join('src/audit', name), 'utf8').matchAll(/\bcode: '([a-z-]+)'/g)])
      .map((match) => match[1]!)
    expect(codes.length).toBeGreaterThan(20)
    expect([...new Set(codes)].filter((found) => !page.includes(`\`${found}\``))).toEqual([])
  })
})
