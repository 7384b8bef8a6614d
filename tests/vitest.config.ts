import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'
import { BaseSequencer, type TestSpecification } from 'vitest/node'
import { nativeSources } from './nativeSources.js'

/** Files that take longest, most of it waiting for a browser, a recording or an installation: they begin first, so that all workers end together. */
const LONG = [
  'package',
  'cli/readme',
  'browser/page',
  'browser/deskStory',
  'browser/desk',
  'cli/commands/log',
  'cli/hostile',
  'cli/archive/many',
  'cli/commands/pageReview',
  'cli/commands/logStream',
  'fuzz/process',
  'browser/reviewPage',
  'browser/deskReview',
  'browser/deskCorrect',
  'browser/deskKeyboard',
  'otherNodes',
  'fuzz/fuzz',
  'segment/loopLevel',
  'study/coverage',
  'audit/audit',
  'cli/commands/review',
  'samples/fleet',
].map((name) => `tests/${name}.test.ts`)

class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => {
      const at = LONG.findIndex((name) => moduleId.endsWith(name))
      return at < 0 ? LONG.length : at
    }
    return (await super.sort(files)).sort((a, b) => place(a) - place(b))
  }
}

const root = fileURLToPath(new URL('..', import.meta.url))

export default defineConfig({
  root,
  plugins: [nativeSources(root)],
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: [fileURLToPath(new URL('./fixedSeed.ts', import.meta.url))],
    // One more than cores: while tests wait for a browser or a recording, others run. Each more loads and compiles the sources once more, which costs more
    // processor time than it fills.
    maxWorkers: availableParallelism() + 1,
    // A worker loads and compiles the sources once for all of its files: no test changes what another one sees.
    isolate: false,
    // Most of what tests make is dropped at once: a nursery that need not be emptied often takes a seventh of a worker's processor time away.
    execArgv: ['--min-semi-space-size=32', '--max-semi-space-size=32'],
    sequence: { sequencer: LongFirst },
    testTimeout: 60_000,
    // A browser beside other tests may take its time; a wait ends as soon as what is waited for is there.
    expect: { poll: { timeout: 20_000 } },
    hookTimeout: 120_000,
    reporters: ['default', fileURLToPath(new URL('./countReporter.ts', import.meta.url))],
  },
})
