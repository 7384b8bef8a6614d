import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { Stryker } from '@stryker-mutator/core'
import { keepMutation, readDays } from './keepMutation.js'
import { listSurvivors } from './listSurvivors.js'
import { ownTest, testsFor } from './testsFor.js'

// npm run mutate [-- FILE or ROOM ...] [TEST FILE ...]: changes the code in small ways, one at a time, and asks whether a test notices.
// One file after the other, each with its own tests (testsFor.ts) or those named; results are kept after each.

/** Rooms whose figures are the results: what is run when nothing is named. */
const ROOMS = ['numeric', 'physics', 'segment', 'fit', 'predict']

const RESULTS = 'tests/mutation/results.md'
const CACHE = 'node_modules/.cache/holdwatt/mutation'

/** The files of a room, or the one file, as paths seen from src. */
function filesIn(path: string): readonly string[] {
  if (path.endsWith('.ts')) return [path]
  return readdirSync(join('src', path), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts'))
    .map((name) => join(path, name))
}

/** Never run before run, and what was run longest ago first. */
function oldestFirst(files: readonly string[]): readonly string[] {
  const days = readDays(RESULTS)
  const dayOf = (file: string) => days.get(file) ?? ''
  return [...files].sort((a, b) => dayOf(a).localeCompare(dayOf(b)))
}

async function mutateFile(file: string, tests: readonly string[]): Promise<string> {
  const report = join(CACHE, file.replace(/\.ts$/, ''))
  // Processes that run the tests inherit this; vitest.config.ts reads it.
  process.env.HOLDWATT_MUTATION_TESTS = tests.join(',')
  await new Stryker({
    mutate: [`src/${file}`],
    ignorePatterns: ['/dist', '/docs'],
    plugins: ['@stryker-mutator/vitest-runner'],
    testRunner: 'vitest',
    vitest: { configFile: 'tests/mutation/vitest.config.ts', related: false },
    coverageAnalysis: 'perTest',
    concurrency: 1,
    // On a busy machine a test may wait long: what takes less would count as noticed though nothing failed.
    timeoutMS: 15_000,
    disableTypeChecks: false,
    tempDirName: `${CACHE}/sandboxes`,
    cleanTempDir: 'always',
    reporters: ['html', 'json'],
    htmlReporter: { fileName: `${report}.html` },
    jsonReporter: { fileName: `${report}.json` },
    allowConsoleColors: false,
  }).runMutationTest()
  return `${report}.json`
}

const words = process.argv.slice(2)
const named = words.filter((word) => word.endsWith('.test.ts'))
const asked = words
  .filter((word) => !named.includes(word))
  .map((path) => path.replace(/^(\.\/)?src\//, '').replace(/\/$/, ''))

const unknown = [...asked.map((path) => join('src', path)), ...named].filter((path) => !existsSync(path))
if (unknown.length > 0)
  throw new Error(`expected files or rooms under src, or test files, got ${unknown.join(', ')}`)

/** Which tests were run against a file, for the table. */
function describeTests(file: string): string {
  if (named.length === 0) return 'its own and near ones'
  return named.every((test) => test === ownTest(file)) ? 'its own' : 'named ones'
}

let failed = 0
for (const file of oldestFirst((asked.length > 0 ? asked : ROOMS).flatMap(filesIn))) {
  try {
    const report = await mutateFile(file, named.length > 0 ? named : testsFor(file))
    console.log(listSurvivors(report))
    keepMutation(RESULTS, report, describeTests(file))
  } catch (error) {
    // Tests that fail without any change, say: the other files are run all the same.
    console.error(`${file}: could not be run. ${error instanceof Error ? error.message : String(error)}`)
    failed++
  }
}
if (failed > 0) process.exitCode = 1
