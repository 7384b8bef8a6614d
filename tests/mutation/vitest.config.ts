import { defineConfig, mergeConfig } from 'vitest/config'
import whole from '../vitest.config.js'

// Its first run has everything at once on a busy machine, and ends where a single test is late.
// The sources are loaded by the test runner, as Stryker changes them.
const config = mergeConfig(
  { ...whole, plugins: [] },
  defineConfig({ test: { reporters: [], testTimeout: 600_000 } }),
)
/** The tests to run, told by `runMutation.ts`. */
// In one process the code is loaded once for all files, and which tests run a changed line is kept of the last file alone.
config.test.isolate = true
// Stryker's tests run in threads, which take no option of a process.
config.test.execArgv = []
config.test.include = (process.env.HOLDWATT_MUTATION_TESTS ?? '').split(',')

export default config
