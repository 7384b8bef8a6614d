import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

type Dependencies = { readonly [name: string]: string }
const json = (path: string) => JSON.parse(readFileSync(path, 'utf8')) as { readonly [key: string]: unknown }

const { dependencies, devDependencies } = json('package.json') as {
  dependencies: Dependencies
  devDependencies: Dependencies
}

/** Rows of the table in a page whose first column has this heading: name and licence. */
function tableOf(page: string, heading: string): readonly (readonly [string, string])[] {
  const [, rows = ''] = readFileSync(page, 'utf8').split(`| ${heading} |`)
  const lines = rows.split('\n').slice(2)
  const end = lines.findIndex((line) => !line.startsWith('|'))
  return lines.slice(0, end).map((line) => {
    const [, name, licence] = line.split('|').map((cell) => cell.trim())
    return [name!, licence!]
  })
}

/** Licences that ask for no more than to be named, or (MPL, OFL) for the file itself to stay free. */
const ALLOWED = ['MIT', 'ISC', 'BSD-3-Clause', 'Apache-2.0', 'MIT OR Apache-2.0', 'MPL-2.0', 'OFL-1.1']

describe('the dependencies', () => {
  it.each([
    ['shipped', 'src/README.md', dependencies],
    ['development only', 'tests/README.md', devDependencies],
  ])('that are %s stand in %s, each with the licence that it is installed under', (heading, page, wanted) => {
    const rows = tableOf(page, heading)
    expect(rows.map(([name]) => name).sort()).toEqual(Object.keys(wanted).sort())
    for (const [name, licence] of rows) {
      expect({ name, licence }).toEqual({
        name,
        licence: json(`node_modules/${name}/package.json`).license,
      })
      expect(ALLOWED).toContain(licence)
    }
  })

  it('run no script when they are installed, but for esbuild, which works without it', () => {
    const { packages } = json('package-lock.json') as {
      packages: { readonly [path: string]: { hasInstallScript?: boolean } }
    }
    const scripted = Object.entries(packages).filter(
      ([path, entry]) => path !== '' && entry.hasInstallScript === true,
    )
    expect(scripted.map(([path]) => path).filter((path) => !path.endsWith('/fsevents'))).toEqual([
      'node_modules/esbuild',
    ])
  })
})
