import { execFile } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { build } from 'esbuild'
import { publint } from 'publint'
import { formatMessage } from 'publint/utils'
import { Application, Logger, LogLevel } from 'typedoc'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { findBrowser, openBrowser } from './browser/openBrowser.js'
import { strictCaller } from './strictCaller.js'

// The built package as others get it: packed, installed, bundled, documented.

const run = promisify(execFile)
const root = fileURLToPath(new URL('..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'holdwatt-package-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Bundles a caller for the browser, as a page's author would. */
async function bundled(caller: string): Promise<string> {
  const { outputFiles } = await build({
    stdin: { contents: caller, resolveDir: root },
    bundle: true,
    minify: true,
    platform: 'browser',
    format: 'iife',
    write: false,
    logLevel: 'silent',
  })
  return outputFiles[0]!.text
}

describe('a bundle for the browser', () => {
  it('that only looks for change points is small: nothing else comes with it', async () => {
    const text = await bundled(
      "import { findChangePoints } from 'holdwatt'\nconsole.log(findChangePoints([1, 2, 8, 9], { penalty: 3 }).edges)",
    )
    expect(text.length).toBeLessThan(20_000)
  })

  const browser = findBrowser()
  it.skipIf(!browser)('reads a log, finds its load and projects a score in Chromium', async () => {
    const text = await bundled(
      `import { findLoads, fitChip, parseLog, profileOfLevels, projectScore } from 'holdwatt'
const rows = Array.from({ length: 400 }, (_, i) => i + ',' + (i < 20 ? 5 : i < 60 ? 90 : 45))
const loads = findLoads(parseLog('time_s,power_w\\n' + rows.join('\\n')).trace)
const runs = [30, 45, 60, 90].map((powerW, k) => ({ sheet: 'a', startS: 60 * k, endS: 60 * k + 50, score: 100 * Math.sqrt(powerW), profile: profileOfLevels([{ powerW, seconds: 50 }]) }))
const { chip } = fitChip({ name: 'Heron', workload: { name: 'task', unit: 'points', better: 'higher', kind: 'fixed-work' }, runs })
const projection = projectScore({ chip, target: { sustainedW: 50 }, loop: { runs: 3, gapS: 0 } })
globalThis.answer = { loads: loads.length, drop: loads[0].stages[0].powerW?.value ?? loads[0].stages.length, score: projection.steady.score.value }`,
    )
    const page = await (await openBrowser(browser!)).newPage()
    try {
      await page.addScriptTag({ content: text })
      const answer = await page.evaluate('globalThis.answer')
      expect(answer).toMatchObject({ loads: 1 })
      expect((answer as { score: number }).score / (100 * Math.sqrt(50))).toBeCloseTo(1, 1)
    } finally {
      await page.close()
    }
  })
})

describe('the packed package', () => {
  let tarball = ''
  let listed: readonly string[] = []

  beforeAll(async () => {
    const { stdout } = await run(
      'npm',
      ['pack', '--json', '--ignore-scripts', '--pack-destination', folder],
      { cwd: root, maxBuffer: 1 << 26 },
    )
    const [packed] = JSON.parse(stdout) as [{ filename: string; files: readonly { path: string }[] }]
    tarball = join(folder, packed.filename)
    // Another test's callers stand in dist while it runs.
    listed = packed.files.map(({ path }) => path).filter((path) => !path.startsWith('dist/caller-'))
  }, 60_000)

  it('holds what users need and nothing else', () => {
    const kinds = [...new Set(listed.map((path) => path.replace(/\/.*/, '')))].sort()
    expect(kinds).toEqual([
      'CHANGELOG.md',
      'DEVELOPERS.md',
      'LICENSE',
      'README.md',
      'dist',
      'models',
      'package.json',
      'samples',
      'src',
      'tests',
    ])
    expect(listed.filter((path) => /^(src|tests)\//.test(path) && !path.endsWith('.md'))).toEqual([])
    expect(listed.filter((path) => path.startsWith('dist') && !/\.(c?js|d\.ts)$/.test(path)).sort()).toEqual([
      'dist/NOTICES',
      'dist/desk.html',
      'dist/sheet.schema.json',
    ])
    expect(listed).toContain('dist/types/browser.d.ts')
  })

  it('runs nothing when it is installed', () => {
    const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { scripts: object }
    const whenInstalled = ['preinstall', 'install', 'postinstall', 'preprepare', 'prepare', 'postprepare']
    expect(Object.keys(scripts).filter((name) => whenInstalled.includes(name))).toEqual([])
  })

  it('has nothing that publint finds fault with', async () => {
    const { messages, pkg } = await publint({ pkgDir: root, strict: true, pack: false })
    expect(messages.map((message) => formatMessage(message, pkg!))).toEqual([])
  })

  describe('installed into an empty folder', () => {
    const home = join(folder, 'home')

    describe('without its optional packages', () => {
      beforeAll(async () => {
        mkdirSync(home)
        writeFileSync(join(home, 'package.json'), '{ "name": "caller", "private": true, "type": "module" }')
        const quietly = ['--omit=dev', '--omit=optional', '--prefer-offline', '--no-audit', '--no-fund']
        await run('npm', ['install', ...quietly, tarball], { cwd: home })
      }, 120_000)

      it('tells the demo, from a log to the check', async () => {
        const words = ['node_modules/holdwatt/dist/demo.js']
        const { stdout } = await run('node', words, { cwd: home, maxBuffer: 1 << 26 })
        expect(stdout).toMatch(/\$ holdwatt stages[\s\S]*\$ holdwatt check/)
      }, 120_000)

      it('says what is missing for a page, and writes none', async () => {
        const holdwatt = join(home, 'node_modules/.bin/holdwatt')
        const sheet = join(home, 'node_modules/holdwatt/samples/heron.yaml')
        const failed = await run(holdwatt, ['page', sheet, '--out', 'page.html'], { cwd: home }).then(
          () => undefined,
          (error: { readonly code: number; readonly stderr: string }) => error,
        )
        expect(failed).toMatchObject({ code: 2 })
        expect(failed!.stderr).toContain('npm install holdwatt --include=optional')
        expect(existsSync(join(home, 'page.html'))).toBe(false)
      })
    })

    describe('and then with them', () => {
      beforeAll(() => layOptional(home))

      it('has a command and an import that work', async () => {
        expect(existsSync(join(home, 'node_modules/vega'))).toBe(true)
        const version = await run(join(home, 'node_modules/.bin/holdwatt'), ['--version'])
        expect(version.stdout).toMatch(/^\d+\.\d+\.\d+/)
        const script =
          "import('holdwatt').then((all) => console.log(all.findChangePoints([1, 2, 8, 9], { penalty: 3 }).edges))"
        expect((await run('node', ['-e', script], { cwd: home })).stdout.trim()).toBe('[ 2 ]')
      })

      it('has types that a strict caller compiles against', async () => {
        writeFileSync(join(home, 'caller.mts'), strictCaller)
        const typeRoots = [join(root, 'node_modules/@types')]
        const compilerOptions = { ...STRICT, types: ['node'], typeRoots }
        writeFileSync(join(home, 'tsconfig.json'), JSON.stringify({ compilerOptions, files: ['caller.mts'] }))
        const words = ['-p', home, '--listFiles', '--checkers', '1']
        const { stdout } = await run(join(root, 'node_modules/typescript-native/bin/tsc'), words, {
          maxBuffer: 1 << 26,
        }).catch((error: { readonly stdout: string }) => error)
        const [files, told] = [/^\/.*$|^[A-Z]:.*$/gm, /^.*\berror TS.*$/gm].map(
          (lines) => stdout.match(lines) ?? [],
        )
        expect(told!.filter((line) => /holdwatt|caller/.test(line))).toEqual([])
        // No types of a package that may be left out, or is bundled and so not installed.
        const others = files!.flatMap((file) => /.*node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(file)?.[1] ?? [])
        const ofCompiler = (name: string) => /^(@typescript\/)?typescript/.test(name)
        expect([...new Set(others)].filter((name) => !ofCompiler(name)).sort()).toEqual([
          '@types/node',
          'holdwatt',
          'undici-types',
        ])
      })
    })
  })
})

/** Lays the optional packages, and what they need, beside it, in the versions of the lock file. */
function layOptional(home: string): void {
  const { packages } = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')) as {
    packages: Record<string, { readonly dev?: true; readonly optional?: true; readonly devOptional?: true }>
  }
  const wanted = Object.keys(packages).filter((path) => {
    const { dev, optional, devOptional } = packages[path]!
    return dev !== true && (optional ?? devOptional) === true && existsSync(join(root, path))
  })
  for (const path of wanted) cpSync(join(root, path), join(home, path), { recursive: true })
}

/** As strict as a caller can ask for. */
const STRICT = {
  strict: true,
  exactOptionalPropertyTypes: true,
  noUncheckedIndexedAccess: true,
  noEmit: true,
  target: 'es2023',
  module: 'nodenext',
}

it('documents every export from its docstring without a warning', async () => {
  // Read from the declarations, which carry the docstrings, in a third of the time.
  const tsconfig = join(folder, 'documented.json')
  const compilerOptions = { typeRoots: [join(root, 'node_modules/@types')] }
  const declared = join(root, 'dist/types/index.d.ts')
  const from = { extends: join(root, 'tsconfig.json'), include: [], files: [declared] }
  writeFileSync(tsconfig, JSON.stringify({ ...from, compilerOptions }))
  const app = await Application.bootstrapWithPlugins({
    options: join(root, 'tests/typedoc.json'),
    entryPoints: [declared],
    tsconfig,
    suppressCommentWarningsInDeclarationFiles: false,
  })
  const said: string[] = []
  app.logger = new (class extends Logger {
    override log(message: string, level: LogLevel): void {
      if (level >= LogLevel.Warn) said.push(message)
    }
  })()
  const project = await app.convert()
  app.validate(project!)
  // What the language declares in several places is not ours to document.
  expect(said.filter((message) => !message.startsWith('Promise has multiple declarations'))).toEqual([])
}, 60_000)

describe('what the bundles hold of others', () => {
  it('is told with its licence, in the folder of the bundles and in the script of the page', () => {
    const notices = readFileSync(join(root, 'dist', 'NOTICES'), 'utf8')
    const { optionalDependencies } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as {
      optionalDependencies: object
    }
    // The optional ones are loaded from their own packages, with their own licence files beside them.
    const [, table = ''] = readFileSync(join(root, 'src/README.md'), 'utf8').split('| shipped |')
    const shipped = [...table.matchAll(/^\| (@?[a-z][\w/-]*) \|/gm)].map((match) => match[1]!)
    expect(shipped.length).toBeGreaterThan(15)
    for (const name of shipped.filter((each) => !(each in optionalDependencies)))
      expect(notices, name).toMatch(new RegExp(`^(.*, )?${name} \\d`, 'm'))
    expect(notices.match(/Copyright/gi)!.length).toBeGreaterThan(10)
    const script = readFileSync(join(root, 'dist', 'page', 'whatIf.js'), 'utf8')
    expect(script).toMatch(/^\/\*![\s\S]*vega-view \d[\s\S]*Copyright[\s\S]*\*\//)
  })
})
