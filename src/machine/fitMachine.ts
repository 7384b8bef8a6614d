import { readInTurn } from '../files/readInTurn.js'
import type { TestSheet } from '../sheet/testSheet.js'
import { fitTestChassis } from './fitTestChassis.js'
import { fitTests, requireSameChip } from './fitTests.js'
import { readTestedMachine, type SharedLogs } from './readTestedMachine.js'
import type { TestedMachine } from './testedMachine.js'

/**
 * Fits one machine as tested: reads the logs that its sheets name, finds loads, places runs, and fits the chip from the
 * runs of all sheets and the chassis from the first.
 *
 * @param sheet - a test sheet, or several of the same chip and workload, the machine that is spoken of first
 * @param wanted.thermal - false: without the thermal network where it decides nothing, for a question that doesn't need it
 * @param wanted.criticism - false: without what `fit` says of the curve, where it decides nothing
 * @param wanted.logs - logs read so far, where the same sheets are asked for more than this
 * @throws InputError `sheets-differ` when they are not of one chip and workload; `runs-missing`; what reading throws
 * @example (await fitMachine(await readSheet('heron.yaml'))).chassis.sustainedW.value
 */
export async function fitMachine(
  sheet: TestSheet | readonly TestSheet[],
  wanted: { readonly thermal?: boolean; readonly criticism?: boolean; readonly logs?: SharedLogs } = {},
): Promise<TestedMachine> {
  const { logs = new Map(), criticism = true, ...chassis } = wanted
  const sheets: readonly TestSheet[] = 'machine' in sheet ? [sheet] : sheet
  for (const other of sheets.slice(1)) requireSameChip(sheets[0]!, other)
  const tests = await readInTurn(sheets, (each) => readTestedMachine(each, logs))
  return fitTests(tests, (test) => fitTestChassis(test, chassis), { criticism })
}
