import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: [fileURLToPath(new URL('./fixedSeed.ts', import.meta.url))],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    reporters: ['default', fileURLToPath(new URL('./countReporter.ts', import.meta.url))],
  },
})
