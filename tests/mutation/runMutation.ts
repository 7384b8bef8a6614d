import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { Stryker } from '@stryker-mutator/core'
import { keepMutation } from './keepMutation.js'

// npm run mutate [-- FILE or ROOM ...], told from src: changes the code in small ways, one at a time, and asks whether a test notices.
// Test files named as well (tests/numeric/estimate.test.ts) are all that is run: a room's simulated worlds take minutes for each change.

/** Small files where a change that no test notices would be an error in many results. */
const WHERE_IT_WOULD_HURT = [
  'physics/chassis/powerBudget.ts',
  'physics/chassis/relaxation.ts',
  'physics/loop/budgetsFromLimits.ts',
  'numeric/statistics/quantile.ts',
  'numeric/statistics/logarithmicMean.ts',
  'numeric/statistics/shapleyValues.ts',
]

const words = process.argv.slice(2)
const tests = words.filter((word) => word.endsWith('.test.ts'))
const asked = words
  .filter((word) => !tests.includes(word))
  .map((path) => path.replace(/^(\.\/)?src\//, '').replace(/\/$/, ''))
const targets = asked.length > 0 ? asked : WHERE_IT_WOULD_HURT

const unknown = [...targets.map((path) => join('src', path)), ...tests].filter((path) => !existsSync(path))
if (unknown.length > 0)
  throw new Error(`expected files or rooms under src, or test files, got ${unknown.join(', ')}`)

// Processes that run the tests inherit this; vitest.config.ts reads it.
const rooms = [...new Set(targets.map((path) => path.split('/')[0])), 'certified']
process.env.HOLDWATT_MUTATION_TESTS = (
  tests.length > 0 ? tests : rooms.map((room) => `tests/${room}/**/*.test.ts`)
).join(',')

const cache = 'node_modules/.cache/holdwatt/mutation'

await new Stryker({
  mutate: targets.map((path) => (path.endsWith('.ts') ? `src/${path}` : `src/${path}/**/*.ts`)),
  ignorePatterns: ['/dist', '/docs'],
  plugins: ['@stryker-mutator/vitest-runner'],
  testRunner: 'vitest',
  vitest: { configFile: 'tests/mutation/vitest.config.ts', related: false },
  coverageAnalysis: 'perTest',
  concurrency: 1,
  disableTypeChecks: false,
  tempDirName: `${cache}/sandboxes`,
  cleanTempDir: 'always',
  reporters: ['progress-append-only', 'clear-text', 'html', 'json'],
  clearTextReporter: { allowColor: false, allowEmojis: false, reportTests: false },
  htmlReporter: { fileName: `${cache}/report.html` },
  jsonReporter: { fileName: `${cache}/report.json` },
  allowConsoleColors: false,
}).runMutationTest()

keepMutation(
  'tests/mutation/results.md',
  `${cache}/report.json`,
  tests.length > 0 ? 'its own' : 'of the room',
)
