import { spawn, spawnSync } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename, dirname, join, resolve } from 'node:path'
import { pathToFileURL } from 'node:url'
import { build } from 'esbuild'

// `node src/build.mjs`: everything that is published, into dist/. `node src/build.mjs run FILE.ts [WORDS]`: bundles one script and runs it. `node src/build.mjs types`: checks the
// types of everything. `node src/build.mjs test`: build, types, lint and tests, which is `npm test`. `node src/build.mjs desk`: opens the desk that was built.

const QUIET = { logLevel: 'warning' }
const NODE = { ...QUIET, platform: 'node', target: 'node20', format: 'esm' }
/** Loaded from node_modules when a picture is drawn: large, and two of them native or WebAssembly. */
const DRAWING = ['vega', 'vega-lite', '@resvg/resvg-js', 'wawoff2']

/** Packages that call `require` are bundled into ES modules, which have none of their own. */
const REQUIRE =
  "import { createRequire as nodeRequire } from 'node:module'; const require = nodeRequire(import.meta.url);"

/** Starts a program of node's; its exit status becomes ours. */
function runNode(words, output = 'inherit') {
  return new Promise((done, failed) => {
    const child = spawn(process.execPath, words, { stdio: ['ignore', output, 'inherit'] })
    child.on('error', failed)
    child.on('close', (status) => (status === 0 ? done() : process.exit(status ?? 1)))
  })
}

async function buildCommand() {
  writeFileSync('dist/demo.js', "import './cli/demo.cjs'\n")
  await runNode(['node_modules/rolldown/bin/cli.mjs', '-c', 'src/bundle.config.mjs', '--logLevel', 'silent'], 'ignore')
  await Promise.all(['reads', 'fits'].map((kind) => runNode(['src/keepBytecode.mjs', kind])))
}

function buildLibrary() {
  return build({
    ...NODE,
    entryPoints: ['src/index.ts'],
    bundle: true,
    splitting: true,
    outdir: 'dist',
    outbase: 'src',
    chunkNames: 'chunks/[name]-[hash]',
    external: DRAWING,
    banner: { js: REQUIRE },
  })
}

const WHAT_IF = 'src/show/page/whatIf/whatIf.ts'
const DESK = 'src/desk/startDesk.tsx'

const PAGE = { ...QUIET, bundle: true, minify: true, platform: 'browser', target: 'es2022', format: 'iife' }

/** The scripts of published pages, each in one file that goes into the page itself: with the what-if, and what every page has. */
async function buildPage() {
  const banner = { js: await noticesAsComment([WHAT_IF]) }
  const start = "import { startPage } from './src/show/page/pageScript.js'\nstartPage()"
  await build({ ...PAGE, entryPoints: [WHAT_IF], banner, outfile: 'dist/page/whatIf.js' })
  await build({ ...PAGE, stdin: { contents: start, resolveDir: '.' }, outfile: 'dist/page/pageScript.js' })
}

/**
 * Formulas are bundled by themselves, then taken in: the bundler leaves nothing out of what is loaded when it is called for, and a third of their package
 * is of use.
 */
const FORMULAS_APART = {
  name: 'formulas-apart',
  setup: ({ onLoad }) =>
    onLoad({ filter: /formula[\\/]mathParts\.ts$/ }, async ({ path }) => {
      const settings = { ...QUIET, platform: 'browser', target: 'es2022', format: 'esm', bundle: true, minify: true, write: false }
      const { outputFiles } = await build({ ...settings, entryPoints: [path], legalComments: 'none' })
      return { contents: outputFiles[0].text, loader: 'js' }
    }),
}

/** The desk: one script for its page and its workers, and the file that holds it. */
async function buildDesk() {
  const { outputFiles } = await build({
    ...PAGE,
    stdin: { contents: "import { startDesk } from './src/desk/startDesk.js'\nstartDesk()", resolveDir: '.' },
    legalComments: 'none',
    banner: { js: await noticesAsComment([DESK]) },
    plugins: [FORMULAS_APART],
    write: false,
  })
  const outfile = resolve('node_modules/.cache/holdwatt/readDesk.mjs')
  await build({ ...NODE, entryPoints: ['src/desk/readDesk.ts'], bundle: true, packages: 'external', outfile })
  const { deskOfParts } = await import(pathToFileURL(outfile))
  writeFileSync('dist/desk.html', await deskOfParts(outputFiles[0].text))
}

/** The JSON Schema of a test sheet, for editors. */
async function buildSheetSchema() {
  const outfile = resolve('node_modules/.cache/holdwatt/sheetJsonSchema.mjs')
  await build({ ...NODE, entryPoints: ['src/sheet/sheetJsonSchema.ts'], bundle: true, packages: 'external', outfile })
  const { sheetJsonSchema } = await import(pathToFileURL(outfile))
  writeFileSync('dist/sheet.schema.json', `${JSON.stringify(sheetJsonSchema(), null, 1)}\n`)
}

/** Every module that the library for browsers reaches, file by file, so that a caller's own bundler takes only what it needs. */
async function buildBrowser() {
  const common = { ...QUIET, platform: 'browser', target: 'es2022', format: 'esm' }
  const whole = await build({
    ...common,
    entryPoints: ['src/browser.ts'],
    bundle: true,
    write: false,
    metafile: true,
    packages: 'external',
  })
  const entryPoints = Object.keys(whole.metafile.inputs)
  const closed = entryPoints.filter((file) => file.endsWith('log/formula/mathParts.ts'))
  const open = entryPoints.filter((file) => !closed.includes(file))
  await build({ ...common, entryPoints: open, outdir: 'dist/browser', outbase: 'src' })
  // What it takes of its package is a fiftieth of that: the package need not be installed.
  await build({ ...common, entryPoints: closed, bundle: true, minify: true, outdir: 'dist/browser', outbase: 'src' })
}

/** The compiler of types that is a native program, three times as fast; the one in JavaScript, which the documentation needs, checks callers in the tests. */
function compileTypes(options) {
  const compiler = dirname(createRequire(import.meta.url).resolve('typescript-native/package.json'))
  return runNode([join(compiler, 'bin/tsc'), ...options.split(' ')])
}

/** By one checker: several each work out what files share, and take a third to two thirds more processor time, beside the tests. */
function checkTypes() {
  return compileTypes('-p tests/tsconfig.json --checkers 1')
}

/** Declarations only: `npm run types` checks the same files, and a second check of them here would find nothing more. */
function buildTypes() {
  return compileTypes('-p tsconfig.json --noCheck --emitDeclarationOnly --outDir dist/types --rootDir src --declaration --noEmit false')
}

/**
 * What bundles hold of other packages, with the copyright notices and licence texts that those ask to be passed on; packages of one
 * text share it. The maps of the bundles say which packages they are.
 */
async function noticesOf(entryPoints) {
  const { metafile } = await build({ ...NODE, entryPoints, ...UNWRITTEN, metafile: true })
  const used = Object.values(metafile.outputs).flatMap((output) =>
    Object.entries(output.inputs).flatMap(([file, { bytesInOutput }]) => (bytesInOutput > 0 ? [file] : [])),
  )
  const packages = new Map()
  for (const folder of new Set(used.flatMap((file) => /^(?:.*\/)?node_modules\/(?:@[^/]+\/)?[^/]+/.exec(file) ?? []))) {
    const { name, version } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'))
    const text = licenceOf(folder)
    packages.set(text, [...(packages.get(text) ?? []), `${name} ${version}`])
  }
  const notices = [...packages].map(([text, names]) => `${[...new Set(names)].sort().join(', ')}\n\n${text}`)
  return `This holds code of other packages, under the licences that stand below them.\n\n${notices.sort().join(`\n\n${'-'.repeat(72)}\n\n`)}\n`
}

const UNWRITTEN = { bundle: true, splitting: true, write: false, outdir: 'dist', external: DRAWING, logLevel: 'silent' }

function licenceOf(folder) {
  const files = readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice)/i.test(file))
  if (files.length === 0 && WITHOUT_FILE[basename(folder)] !== undefined) return WITHOUT_FILE[basename(folder)]
  if (files.length === 0) throw new Error(`${folder} has no licence file: find its notice and keep it beside this script`)
  return files.map((file) => readFileSync(join(folder, file), 'utf8').trim().replaceAll('\r', '')).join('\n\n')
}

/** Packages that name their licence and author in package.json only: the standard text under that name. */
const WITHOUT_FILE = {
  'median-quickselect': `ISC License

Copyright https://github.com/mad-gooze

Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted, provided that the above
copyright notice and this permission notice appear in all copies.

THE SOFTWARE IS PROVIDED "AS IS" AND THE AUTHOR DISCLAIMS ALL WARRANTIES WITH REGARD TO THIS SOFTWARE INCLUDING ALL IMPLIED WARRANTIES OF
MERCHANTABILITY AND FITNESS. IN NO EVENT SHALL THE AUTHOR BE LIABLE FOR ANY SPECIAL, DIRECT, INDIRECT, OR CONSEQUENTIAL DAMAGES OR ANY DAMAGES
WHATSOEVER RESULTING FROM LOSS OF USE, DATA OR PROFITS, WHETHER IN AN ACTION OF CONTRACT, NEGLIGENCE OR OTHER TORTIOUS ACTION, ARISING OUT OF OR
IN CONNECTION WITH THE USE OR PERFORMANCE OF THIS SOFTWARE.`,
}

/** For a script that goes into a page, where no file can stand beside it. */
async function noticesAsComment(entryPoints) {
  return `/*!\n${(await noticesOf(entryPoints)).replaceAll('*/', '* /').replaceAll('</', '< /')}*/`
}

async function buildNotices() {
  const entryPoints = ['src/index.ts', 'src/cli/runProcess.ts', 'src/cli/archive/workers/answerTasks.ts', WHAT_IF, DESK]
  writeFileSync('dist/NOTICES', await noticesOf(entryPoints))
}

async function buildAll() {
  rmSync('dist', { recursive: true, force: true })
  mkdirSync('dist')
  await Promise.all([
    buildTypes(),
    buildCommand(),
    buildLibrary(),
    buildPage().then(buildDesk),
    buildBrowser(),
    buildNotices(),
    buildSheetSchema(),
  ])
}

/**
 * All that `npm test` does. Build, types and lint begin at once, for none needs another, and the tests as soon as what they run is built: types and
 * lint, which wait for little, end beside them. What each says comes whole, under its name, when it has ended; one that fails ends no other
 * but the tests that need the build, and the status is 1 then.
 */
async function testAll(words) {
  const [built, ...checked] = ['build', 'types', 'lint'].map(runScript)
  const tested = (await built) && (await runTests(words))
  const outcomes = await Promise.all(checked)
  process.exitCode = tested && outcomes.every((isWell) => isWell) ? 0 : 1
  // What failed while the tests ran may have scrolled away.
  if (!outcomes.every((isWell) => isWell)) console.log('types or lint failed: see above')
}

function runTests(words) {
  const child = spawn('npm', ['run', '--silent', 'test:run', '--', ...words], { stdio: 'inherit', shell: process.platform === 'win32' })
  return new Promise((done) => child.on('close', (status) => done(status === 0)))
}

function runScript(name) {
  const startMs = performance.now()
  return new Promise((done) => {
    const child = spawn('npm', ['run', '--silent', name], { stdio: ['ignore', 'pipe', 'pipe'], shell: process.platform === 'win32' })
    let said = ''
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (piece) => (said += piece))
    child.on('close', (status) => {
      const seconds = ((performance.now() - startMs) / 1000).toFixed(1)
      console.log(`${name}: ${status === 0 ? 'ok' : 'failed'}, ${seconds} s${said === '' ? '' : `\n${said}`}`)
      done(status === 0)
    })
  })
}

/** Bundles a script of tests or samples beside the packages that it loads, and runs it; its exit status is ours. */
async function run(file, words) {
  const outfile = join('node_modules/.cache/holdwatt', `${basename(file, '.ts')}.mjs`)
  await build({ ...NODE, entryPoints: [file], bundle: true, packages: 'external', outfile })
  if (words[0] === '--only-bundle') return
  process.exitCode = spawnSync(process.execPath, [outfile, ...words], { stdio: 'inherit' }).status ?? 1
}

/** Opens the desk that was built, where the system has something to open it with, and says where it is. */
function openDesk() {
  const file = resolve('dist/desk.html')
  const [command, ...before] = { darwin: ['open'], win32: ['cmd', '/c', 'start', ''] }[process.platform] ?? ['xdg-open']
  const { error, status } = spawnSync(command, [...before, file], { stdio: 'ignore' })
  console.log(error === undefined && status === 0 ? file : `open this in a browser: ${file}`)
}

const [task, file, ...words] = process.argv.slice(2)
if (task === 'run') await run(file, words)
else if (task === 'types') await checkTypes()
else if (task === 'test') await testAll(process.argv.slice(3))
else if (task === 'desk') openDesk()
else await buildAll()
