import type { Reporter, TestModule } from 'vitest/node'

/** Ends a test run with one line that a machine can read: `N passed, N failed`, and what was left out. */
export default class CountReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], errors: readonly unknown[]): void {
    const count = { passed: 0, failed: errors.length, skipped: 0 }
    for (const module of modules) {
      for (const test of module.children.allTests()) {
        const { state } = test.result()
        if (state !== 'pending') count[state] += 1
      }
      // A file that can't be loaded, or whose set-up fails, has no failed test to be counted by.
      count.failed += module.errors().length
    }
    const leftOut =
      count.skipped === 0 ? '' : `${count.skipped} left out (a test that can't run here says why)\n`
    process.stdout.write(`\n${leftOut}${count.passed} passed, ${count.failed} failed\n`)
  }
}
