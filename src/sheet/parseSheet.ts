import { chooseTest } from './chooseTest.js'
import { readTree } from './parseReview.js'
import type { TestSheet } from './testSheet.js'

/**
 * Reads a YAML test sheet as one machine and one workload (section 2 of cli/README.md): one that has no other, or the one
 * that is asked for, by all of its power modes unless one is named.
 *
 * @param text - YAML
 * @param file - the sheet's path, for messages and for finding its logs
 * @param asked - which of its tests: a workload, `workload, metric`, or either with ` @ mode` behind it
 * @throws InputError `sheet-…` with file, line and column, what was expected, what it got and what to do; when several
 *   values are wrong, the others are in `details.others`; `sheet-of-several` when it has several tests and none is asked for,
 *   `sheet-test-unknown`
 * @example parseSheet(text, 'heron.yaml').machine // 'Heron 14'
 */
export function parseSheet(text: string, file: string, asked?: string): TestSheet {
  return chooseTest(readTree(text, file), asked)
}
