import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: [fileURLToPath(new URL('./fixedSeed.ts', import.meta.url))],
    // As many as cores: left to itself it keeps one of them free, which on two cores is half of the speed.
    maxWorkers: availableParallelism(),
    // A worker loads and compiles the sources once for all of its files: no test changes what another one sees.
    isolate: false,
    testTimeout: 60_000,
    // A browser beside other tests may take its time; a wait ends as soon as what is waited for is there.
    expect: { poll: { timeout: 20_000 } },
    hookTimeout: 120_000,
    reporters: ['default', fileURLToPath(new URL('./countReporter.ts', import.meta.url))],
  },
})
