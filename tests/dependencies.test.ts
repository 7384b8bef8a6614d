import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

type Dependencies = { readonly [name: string]: string }
const json = (path: string) => JSON.parse(readFileSync(path, 'utf8')) as { readonly [key: string]: unknown }

const { dependencies, optionalDependencies, devDependencies } = json('package.json') as {
  dependencies: Dependencies
  optionalDependencies: Dependencies
  devDependencies: Dependencies
}
const installed = { ...dependencies, ...optionalDependencies }

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
  it('are installed with the package, held by its bundles, or for development only: each stands in one table', () => {
    const shipped = tableOf('src/README.md', 'shipped').map(([name]) => name)
    const others = tableOf('tests/README.md', 'development only').map(([name]) => name)
    expect([...shipped, ...others].sort()).toEqual(Object.keys({ ...installed, ...devDependencies }).sort())
    expect(Object.keys(installed).filter((name) => !shipped.includes(name))).toEqual([])
  })

  it.each([
    ['shipped', 'src/README.md'],
    ['development only', 'tests/README.md'],
  ])('that are %s stand in %s with the licence that they are installed under', (heading, page) => {
    for (const [name, licence] of tableOf(page, heading)) {
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
